package calibrate

import (
	"fmt"
	"testing"
)

// Years of gauges, as a large logbook has them, each fit from the readings to the model.
func BenchmarkFit(b *testing.B) {
	for _, n := range []struct{ readings, prints int }{{40, 4}, {150, 10}, {600, 60}, {6800, 1700}} {
		rs := many(n.readings, n.prints)
		b.Run(fmt.Sprint(n.readings), func(b *testing.B) {
			for b.Loop() {
				if _, err := FitReadings(nil, rs); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
