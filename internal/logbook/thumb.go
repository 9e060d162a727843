package logbook

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
)

// thumbSide is the longer side of a thumbnail, pixels: three in a row fill a page
// for reading.
const thumbSide = 320

// thumbQuality is that of the JPEG; at this size higher ones cannot be told apart.
const thumbQuality = 85

// thumbnail makes a small upright picture: every pixel the mean of those that fall
// into it, on white where the picture is transparent. turn is that of orientation.
func thumbnail(img image.Image, turn int) ([]byte, error) {
	src := img.Bounds()
	w, h := src.Dx(), src.Dy()
	if long := max(w, h); long > thumbSide {
		w, h = max(1, w*thumbSide/long), max(1, h*thumbSide/long)
	}
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			small.SetRGBA(x, y, mean(img, image.Rect(
				src.Min.X+x*src.Dx()/w, src.Min.Y+y*src.Dy()/h,
				src.Min.X+max(x*src.Dx()/w+1, (x+1)*src.Dx()/w), src.Min.Y+max(y*src.Dy()/h+1, (y+1)*src.Dy()/h))))
		}
	}
	var b bytes.Buffer
	err := jpeg.Encode(&b, turned(small, turn), &jpeg.Options{Quality: thumbQuality})
	return b.Bytes(), err
}

// mean is the mean colour over r, over white.
func mean(img image.Image, r image.Rectangle) color.RGBA {
	var sum [3]uint64
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			cr, cg, cb, ca := img.At(x, y).RGBA() // premultiplied, 16 bits
			white := 0xffff - ca
			sum[0] += uint64(cr + white)
			sum[1] += uint64(cg + white)
			sum[2] += uint64(cb + white)
		}
	}
	n := uint64(r.Dx() * r.Dy()) //nolint:gosec // a rectangle within a picture
	return color.RGBA{byte8(sum[0] / n), byte8(sum[1] / n), byte8(sum[2] / n), 0xff}
}

func byte8(v uint64) uint8 { return uint8(v >> 8) } //nolint:gosec // v has 16 bits

// turned lays a picture upright by its orientation (CIPA DC-008, Exif 2.32, tag
// 0x0112): which edge of the stored picture is the top and which the left.
func turned(img *image.RGBA, turn int) *image.RGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	if turn < 2 || turn > 8 {
		return img
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	if turn >= 5 {
		out = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			u, v := x, y
			switch turn {
			case 2:
				u = w - 1 - x
			case 3:
				u, v = w-1-x, h-1-y
			case 4:
				v = h - 1 - y
			case 5:
				u, v = y, x
			case 6:
				u, v = h-1-y, x
			case 7:
				u, v = h-1-y, w-1-x
			case 8:
				u, v = y, w-1-x
			}
			out.SetRGBA(u, v, img.RGBAAt(x, y))
		}
	}
	return out
}

// orientation reads how a JPEG is to be held from its Exif segment, 1 if it does
// not say.
func orientation(raw []byte) int {
	if len(raw) < 4 || raw[0] != 0xff || raw[1] != 0xd8 {
		return 1
	}
	for p := 2; p+4 <= len(raw) && raw[p] == 0xff; {
		kind, size := raw[p+1], int(binary.BigEndian.Uint16(raw[p+2:]))
		if kind == 0xda || size < 2 || p+2+size > len(raw) {
			return 1
		}
		body := raw[p+4 : p+2+size]
		if tiff, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok && kind == 0xe1 {
			return tiffOrientation(tiff)
		}
		p += 2 + size
	}
	return 1
}

// tiffOrientation looks through the first directory of a TIFF header.
func tiffOrientation(t []byte) int {
	if len(t) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.LittleEndian
	if t[0] == 'M' {
		order = binary.BigEndian
	}
	at := int(order.Uint32(t[4:]))
	if at < 8 || at+2 > len(t) {
		return 1
	}
	for i := range int(order.Uint16(t[at:])) {
		e := at + 2 + 12*i
		if e+12 > len(t) {
			return 1
		}
		if v := int(order.Uint16(t[e+8:])); order.Uint16(t[e:]) == 0x0112 && v >= 1 && v <= 8 {
			return v
		}
	}
	return 1
}
