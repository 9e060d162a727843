package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"strings"
	"testing"
)

// flag is a picture whose upper left quarter is red, the others white.
func flagPicture(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{255, 255, 255, 255}
			if x < w/2 && y < h/2 {
				c = color.RGBA{255, 0, 0, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func picture(t *testing.T, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, flagPicture(w, h)); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// exifJPEG is a JPEG with an Exif segment that gives its orientation, laid out by
// CIPA DC-008 (Exif 2.32) 4.5: APP1, "Exif", a TIFF header, one entry of IFD0.
func exifJPEG(t *testing.T, w, h, orientation int, order binary.ByteOrder, mark string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, flagPicture(w, h), nil); err != nil {
		t.Fatal(err)
	}
	tiff := append([]byte(mark), make([]byte, 24)...)
	order.PutUint16(tiff[2:], 42)
	order.PutUint32(tiff[4:], 8)
	order.PutUint16(tiff[8:], 1)
	order.PutUint16(tiff[10:], 0x0112)
	order.PutUint16(tiff[12:], 3)
	order.PutUint32(tiff[14:], 1)
	order.PutUint16(tiff[18:], uint16(orientation))
	seg := append([]byte{0xff, 0xe1, 0, 0}, append([]byte("Exif\x00\x00"), tiff...)...)
	binary.BigEndian.PutUint16(seg[2:], uint16(len(seg)-2))
	return append(append([]byte{0xff, 0xd8}, seg...), b.Bytes()[2:]...)
}

func keep(t *testing.T, b *Book, trial ID, raw []byte) (Photo, image.Image) {
	t.Helper()
	p := Photo{Trial: trial, Name: "a"}
	done(t, b, func(tx *Tx) error { return KeepPhoto(tx, bytes.NewReader(raw), &p) })
	kept, err := os.ReadFile(b.PhotoFile(&p))
	if err != nil || !bytes.Equal(kept, raw) {
		t.Fatalf("the copy differs: %v", err)
	}
	if s := sha256.Sum256(raw); hex.EncodeToString(s[:]) != p.SHA256 {
		t.Fatal("the name is not the content hash")
	}
	f, err := os.Open(b.ThumbFile(&p))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return p, img
}

// The red quarter is at the top left of the stored picture. Where it is seen
// follows from the table of the standard: 6 is "the row 0 is the right edge", so the
// stored top left is seen at the top right, and so on.
func TestPhotoUpright(t *testing.T) {
	b := opened(t)
	_, _, tr := tower(t, b)
	corners := []string{1: "top left", 2: "top right", 3: "bottom right", 4: "bottom left", 5: "top left", 6: "top right", 7: "bottom right", 8: "bottom left"}
	for turn := 1; turn <= 8; turn++ {
		order, mark := binary.ByteOrder(binary.LittleEndian), "II"
		if turn%2 == 0 {
			order, mark = binary.BigEndian, "MM"
		}
		p, thumb := keep(t, b, tr.ID, exifJPEG(t, 640, 400, turn, order, mark))
		w, h := thumb.Bounds().Dx(), thumb.Bounds().Dy()
		wantW, wantH := 320, 200
		if turn >= 5 {
			wantW, wantH = 200, 320
		}
		if w != wantW || h != wantH || p.Width != 2*wantW || p.Height != 2*wantH {
			t.Errorf("turn %d: the thumbnail is %d by %d, the photo %d by %d", turn, w, h, p.Width, p.Height)
		}
		red := ""
		for _, c := range []struct {
			name string
			x, y int
		}{{"top left", w / 4, h / 4}, {"top right", 3 * w / 4, h / 4}, {"bottom left", w / 4, 3 * h / 4}, {"bottom right", 3 * w / 4, 3 * h / 4}} {
			if _, g, _, _ := thumb.At(c.x, c.y).RGBA(); g < 0x4000 {
				red += c.name
			}
		}
		if red != corners[turn] {
			t.Errorf("turn %d: red at %q, want %q", turn, red, corners[turn])
		}
	}
}

func TestPhotoRefused(t *testing.T) {
	b := opened(t)
	_, _, tr := tower(t, b)
	good := picture(t, 40, 30)
	for name, raw := range map[string][]byte{"text": []byte("no picture"), "empty": nil, "cut": good[:len(good)/2]} {
		_, err := b.Do(ctx, name, func(tx *Tx) error { return KeepPhoto(tx, bytes.NewReader(raw), &Photo{Trial: tr.ID}) })
		if err == nil {
			t.Errorf("%s: taken", name)
		}
		if name == "text" && !errors.Is(err, ErrNoPicture) {
			t.Error(err)
		}
	}
	if names, err := photoNames(b.dir); len(names) > 0 || err != nil {
		t.Errorf("left %v, %v", names, err)
	}
	bad := Photo{SHA256: "../../etc/passwd", Media: "image/png"}
	if strings.Contains(b.PhotoFile(&bad), "etc") {
		t.Error("a row leads out of the folder: " + b.PhotoFile(&bad))
	}
}

func TestExamine(t *testing.T) {
	b := opened(t)
	_, _, tr := tower(t, b)
	p, _ := keep(t, b, tr.ID, picture(t, 40, 30))
	if found, err := b.Examine(ctx); len(found) > 0 || err != nil {
		t.Fatal(found, err)
	}
	if err := os.WriteFile(b.PhotoFile(&p), []byte("spoiled"), 0o600); err != nil {
		t.Fatal(err)
	}
	if found, err := b.Examine(ctx); len(found) != 1 || err != nil || !strings.Contains(found[0], "damaged") {
		t.Error(found, err)
	}
	os.Remove(b.PhotoFile(&p))
	if found, err := b.Examine(ctx); len(found) != 1 || err != nil || !strings.Contains(found[0], "missing") {
		t.Error(found, err)
	}
}
