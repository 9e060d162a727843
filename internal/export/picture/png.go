package picture

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/png"
)

// DataURI is the picture as a PNG within a data: address (RFC 2397), which needs
// no file beside the page.
func DataURI(img image.Image) (string, error) {
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := e.Encode(&b, img); err != nil {
		return "", fmt.Errorf("encoding a picture: %w", err)
	}
	return "data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes()), nil
}
