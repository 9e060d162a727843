package meshfile

import (
	"fmt"
	"math"
	"strconv"
)

// rgb reads a colour "#rrggbb", each channel 0 to 1, as sRGB.
func rgb(s string) ([3]float64, error) {
	var c [3]float64
	if len(s) != 7 || s[0] != '#' {
		return c, fmt.Errorf("colour %q, expected the form #rrggbb", s)
	}
	for i := range c {
		v, err := strconv.ParseUint(s[1+2*i:3+2*i], 16, 8)
		if err != nil {
			return c, fmt.Errorf("colour %q, expected the form #rrggbb", s)
		}
		c[i] = float64(v) / 255
	}
	return c, nil
}

// linear is the light that the sRGB value s stands for (IEC 61966-2-1, 1999);
// glTF wants it so.
func linear(s float64) float64 {
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}
