package calibrate

import (
	"reflect"
	"strings"
	"testing"
)

func TestReadTable(t *testing.T) {
	got, err := ReadTable("r.csv", strings.NewReader("kind,name,print,nominal,size,gap,felt,sd\n# by hand\nhole,\"the big, round one\",1,12,11.83,,,0.03\nFit,,1,10,,0.2,Slides,\n"))
	want := []Reading{
		{Name: "the big, round one", Print: "1", Kind: Hole, Nominal: 12, Size: 11.83, Sd: 0.03},
		{Print: "1", Kind: Fit, Nominal: 10, Gap: 0.2, Felt: Slides},
	}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v\n%+v", err, got)
	}
	sheet, err := ReadTable("r.csv", strings.NewReader("kind;name;print;nominal;size;gap;felt;sd\n# by hand\nhole;the big, round one;1;12;11,83;;;0,03\nFit;;1;10;;0,2;Slides;\n"))
	if err != nil || !reflect.DeepEqual(sheet, want) {
		t.Errorf("saved by a spreadsheet: %v\n%+v", err, sheet)
	}
	for text, want := range map[string]string{
		"":                                    "r.csv: the table is empty",
		"kinds\n":                             "r.csv:1: no column is called \"kinds\"",
		"name\n":                              "r.csv:1: the column kind is missing",
		"kind,nominal,size\n":                 "r.csv: there are no readings",
		"kind,nominal,size\nhole,12,\n":       "r.csv:2: a reading of kind hole needs size",
		"kind,nominal,size\nhole,12,1,2\n":    "r.csv: ",
		"kind,nominal,size\n\nhole,12,11;8\n": "r.csv:3: size \"11;8\" is no number",
		"kind,gap,felt\nfit,0.2,wobbly\n":     "r.csv:2: felt \"wobbly\" is none of stuck",
		"kind,nominal,size\nhole,12,1\n":      "r.csv:2: a reading: measured 1 mm",
	} {
		if _, err := ReadTable("r.csv", strings.NewReader(text)); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

func FuzzReadTable(f *testing.F) {
	f.Add("kind,nominal,size\nhole,12,11.8\n")
	f.Add("kind,gap,felt\nfit,0.2,slides\n")
	f.Fuzz(func(t *testing.T, s string) {
		rs, err := ReadTable("f", strings.NewReader(s))
		if err == nil {
			for i := range rs {
				if err := rs[i].Check(); err != nil {
					t.Errorf("read, but %v", err)
				}
			}
		}
	})
}
