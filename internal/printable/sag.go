package printable

// Sag is how far the middle of a bridge of that span hangs below its ends, from least to
// most, mm: by the square of the span, as a taut string hangs under its own weight (s =
// w l2/(8 h), the parabola of handbooks), and between half a layer and one and a half on the
// longest span that prints (common practice, no source). An estimate.
func (s *Settings) Sag(span float64) (least, most float64) {
	if s.BridgeSpan <= 0 {
		return 0, 0
	}
	k := span / s.BridgeSpan
	return 0.5 * s.Layer * k * k, 1.5 * s.Layer * k * k
}
