package logbook

import (
	"bytes"
	"testing"

	"feint/internal/calibrate"
)

// The table is what the calibration reads.
func TestReadingsTable(t *testing.T) {
	var w bytes.Buffer
	left, err := ReadingsTable(&w, []Sized{
		{Reading{ID: 1, Trial: 7, Kind: Bore, Feature: "ring, 3", Nominal: num(12), Measured: num(11.86), Uncertainty: num(0.04)}, Setup{}, 1},
		{Reading{ID: 2, Trial: 7, Kind: Gap, Gap: num(0.25), Felt: Slides}, Setup{}, 2},
		{Reading{ID: 3, Trial: 8, Kind: Height, Nominal: num(20), Measured: num(19.9)}, Setup{}, 1},
		{Reading{ID: 4, Kind: Slot, Nominal: num(2), Measured: num(1.9)}, Setup{}, 1},
		{Reading{ID: 5, Kind: Bore, Measured: num(1.9)}, Setup{}, 1},
	})
	if left != 2 || err != nil {
		t.Errorf("%d left out, %v", left, err)
	}
	rs, err := calibrate.ReadTable("table", bytes.NewReader(w.Bytes()))
	if err != nil || len(rs) != 3 {
		t.Fatalf("%v, %v\n%s", rs, err, w.String())
	}
	if r := rs[0]; r.Name != "ring, 3" || r.Print != "trial 7" || r.Kind != calibrate.Hole || r.Nominal != 12 || r.Size != 11.86 || r.Sd != 0.02 {
		t.Errorf("%+v", r)
	}
	// 0.25 mm a side drawn, printed at twice the size
	if r := rs[1]; r.Kind != calibrate.Fit || r.Gap != 0.5 || r.Felt != calibrate.Slides {
		t.Errorf("%+v", r)
	}
}
