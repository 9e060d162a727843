package server

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/calibrate"
	"feint/internal/printed"
)

// shop opens a bench with a logbook, a printer and a spool.
func shop(t *testing.T) *bench {
	b := openBench(t, Config{})
	b.enter()
	b.ask("POST", "/api/workshop", None{}, "None", nil)
	for _, k := range [][2]string{{"printer", "Kestrel"}, {"printer", "Wren"}, {"spool", "red"}} {
		var d Done
		if code := b.ask("POST", "/api/records/"+k[0], RecordSet{[]string{"name=" + k[1]}}, "Done", &d); code != 200 || d.Deed == 0 {
			t.Fatal(code, d)
		}
	}
	return b
}

func (b *bench) book(query string) Workshop {
	b.t.Helper()
	var w Workshop
	if code := b.ask("GET", "/api/workshop/ferry.star"+query, nil, "Workshop", &w); code != 200 {
		b.t.Fatal(code)
	}
	return w
}

func (b *bench) line(text string) Logged {
	b.t.Helper()
	var l Logged
	if code := b.ask("POST", "/api/workshop/ferry.star/lines", LogLine{text, []ParamValue{}}, "Logged", &l); code != 200 {
		b.t.Fatal(text, code)
	}
	return l
}

// picture is a small drawing as a camera would send it.
func picture(t *testing.T) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 640, 480))
	for x := range 640 {
		m.Set(x, x/2, color.RGBA{200, 30, 30, 255})
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestLogbookLater: a print is noted, put right, its fault made a standing check and
// shown with a photo; every change leaves a trace and is taken back.
func TestLogbookLater(t *testing.T) {
	b := shop(t)
	ch := b.listen("log")
	b.ask("POST", "/api/proofs", asked("log"), "Started", nil)
	p := until(t, ch, "proved").Result
	l := b.line("on Kestrel, spool red, 95 min, 41 g, binds at gate, bore 8 = 7.84 +-0.04")
	w := b.book("?proof=" + p.ID)
	if l.Trial != 1 || l.Fault != 1 || len(w.Trials) != 1 || w.Trials[0].With != "Kestrel, red" || w.Trials[0].Outcome != "binds at gate" || len(w.Readings) != 1 || len(w.Faults) != 1 {
		t.Fatalf("%+v %+v", l, w)
	}
	// the proof of a revision that was printed is kept by itself, so that the tree can tell it
	if r := w.Revisions[0]; !r.Here || !strings.Contains(r.Words, "works, 2 moves") || !strings.Contains(r.Words, "1 binds") {
		t.Errorf("%+v", r)
	}
	var d Done
	if code := b.ask("PUT", "/api/records/trial/1", RecordSet{[]string{"minutes=102", "note=second try"}}, "Done", &d); code != 200 || d.Deed == 0 {
		t.Fatal(code)
	}
	var k Record
	b.ask("GET", "/api/records/trial/1", nil, "Record", &k)
	if len(k.Past) != 3 { // noted, its outcome told, edited
		t.Fatalf("%+v", k.Past)
	}
	if past := k.Past[0]; past.Act != "changed" || !strings.Contains(past.What, "minutes=102") || len(past.Before) != 2 || past.Before[0] != (FieldRow{"minutes", "95"}) || past.Before[1] != (FieldRow{"note", ""}) {
		t.Errorf("%+v", past)
	}
	if got := *b.book("").Trials[0].Minutes; got != 102 {
		t.Errorf("%g min", got)
	}
	b.ask("POST", "/api/undo", DeedNamed{d.Deed}, "None", nil)
	if got := *b.book("").Trials[0].Minutes; got != 95 {
		t.Errorf("taken back: %g min", got)
	}
	var ds Deeds
	b.ask("GET", "/api/history", nil, "Deeds", &ds)
	if ds.Deeds[0].Undoes != d.Deed || ds.Deeds[1].Undone != ds.Deeds[0].ID {
		t.Errorf("%+v", ds.Deeds[:2])
	}
	b.faults(p)
	b.revision(p)
	b.dropped()
}

// faults makes the fault a standing check, which must foretell it of its own revision.
func (b *bench) faults(p *Proof) {
	t := b.t
	var st Stood
	if code := b.ask("POST", "/api/faults/1/stand", BoundGiven{"bind by 0.03"}, "Stood", &st); code != 200 || len(st.Words) != 1 {
		t.Fatal(code, st)
	}
	if c := b.book("?proof=" + p.ID).Checks; len(c) != 1 || c[0].Answer != "returns" || !strings.Contains(c[0].Fault, "binds at gate") || c[0].Why == "" {
		t.Errorf("%+v", c)
	}
	if c := b.book("").Checks; c[0].Answer != "" {
		t.Errorf("no proof was named: %+v", c)
	}
	b.ask("PUT", "/api/records/check/1", RecordSet{[]string{"rests=yes"}}, "Done", nil)
	if c := b.book("?proof=" + p.ID).Checks; !c[0].Rests || c[0].Answer != "" {
		t.Errorf("it rests: %+v", c)
	}
	for _, bad := range []string{"", "bend by 1", "bind", "bind by x"} {
		if code := b.ask("POST", "/api/faults/1/stand", BoundGiven{bad}, "", nil); code != 400 {
			t.Errorf("%q: %d", bad, code)
		}
	}
	raw := picture(t)
	for _, of := range []string{"fault/1", "trial/1", "revision/1"} {
		if code := b.photo(of, raw); code != 200 {
			t.Errorf("%s: %d", of, code)
		}
	}
	w := b.book("")
	if len(w.Faults[0].Photos) != 1 || len(w.Trials[0].Photos) != 1 || len(w.Revisions[0].Photos) != 1 {
		t.Errorf("%+v", w)
	}
	code, media, _, thumb := b.fetch(fmt.Sprintf("/api/photos/%d", w.Faults[0].Photos[0]))
	if small, kind, err := image.DecodeConfig(bytes.NewReader(thumb)); code != 200 || media != "image/jpeg" || kind != "jpeg" || err != nil || small.Width >= 640 {
		t.Errorf("%d %s %s %v %v", code, media, kind, small, err)
	}
	if code, media, _, whole := b.fetch(fmt.Sprintf("/api/photos/%d/whole", w.Faults[0].Photos[0])); code != 200 || media != "image/png" || !bytes.Equal(whole, raw) {
		t.Errorf("%d %s, %d bytes", code, media, len(whole))
	}
	for _, of := range []string{"fault/9", "design/1", "trial/0", "trial/..%2f1"} {
		if code := b.photo(of, raw); code == 200 {
			t.Errorf("a photo of %s is kept", of)
		}
	}
	if code := b.photo("trial/1", []byte("<script>")); code != 400 {
		t.Errorf("no picture: %d", code)
	}
}

func (b *bench) photo(of string, raw []byte) int {
	b.t.Helper()
	res := b.raw("POST", "/api/photos/"+of, string(raw), func(r *http.Request) { r.Header.Set("Content-Type", "image/png") })
	if text, err := io.ReadAll(res.Body); err != nil {
		b.t.Fatal(err)
	} else if res.StatusCode == 200 {
		b.holds("Done", text)
	} else {
		b.holds("Trouble", text)
	}
	return res.StatusCode
}

// revision keeps another revision, with the question that it is to answer.
func (b *bench) revision(first *Proof) {
	t := b.t
	ch := b.listen("other")
	b.ask("POST", "/api/proofs", asked("other", ParamValue{"bollard at", 13}), "Started", nil)
	p := until(t, ch, "proved").Result
	var k RevisionKept
	if code := b.ask("POST", "/api/revisions", KeepAsked{p.ID, "does a nearer bollard hold?"}, "RevisionKept", &k); code != 200 || k.Number != 2 || !k.New {
		t.Fatal(code, k)
	}
	b.ask("POST", "/api/revisions", KeepAsked{first.ID, ""}, "RevisionKept", &k)
	if k.Number != 1 || k.New {
		t.Errorf("%+v", k)
	}
	rs := b.book("?proof=" + p.ID).Revisions
	if len(rs) != 2 || rs[1].Question != "does a nearer bollard hold?" || rs[1].Parent != 1 || rs[1].Depth != 1 || !rs[1].Here || rs[0].Here || !strings.Contains(rs[1].Words, "stuck") {
		t.Errorf("%+v", rs)
	}
	b.ask("PUT", "/api/records/revision/2", RecordSet{[]string{"question=another"}}, "Done", nil)
	if q := b.book("").Revisions[1].Question; q != "another" {
		t.Errorf("%q", q)
	}
	if code := b.ask("POST", "/api/revisions", KeepAsked{"none", ""}, "", nil); code != 404 {
		t.Error(code)
	}
}

// dropped removes a print, and with it what belongs to it; taken back all is there. The
// print whose fault is checked always stays.
func (b *bench) dropped() {
	t := b.t
	var d Done
	if code := b.ask("DELETE", "/api/records/trial/1", nil, "", nil); code != 400 {
		t.Errorf("the print of a checked fault: %d", code)
	}
	l := b.line("new, 80 min, works, peg 8 = 8.1")
	if code := b.ask("DELETE", fmt.Sprintf("/api/records/trial/%d", l.Trial), nil, "Done", &d); code != 200 {
		t.Fatal(code)
	}
	if w := b.book(""); len(w.Trials) != 1 || len(w.Readings) != 1 {
		t.Errorf("%+v", w)
	}
	b.ask("POST", "/api/undo", DeedNamed{d.Deed}, "None", nil)
	if w := b.book(""); len(w.Trials) != 2 || len(w.Readings) != 2 {
		t.Errorf("%+v", w)
	}
	for _, bad := range []struct{ method, path, set string }{
		{"PUT", "/api/records/trial/99", "minutes=1"},
		{"PUT", "/api/records/trial/1", "minutes=soon"},
		{"PUT", "/api/records/trial/1", "id=7"},
		{"PUT", "/api/records/design/1", "file=../../x"},
		{"PUT", "/api/records/proof/1", "verdict=works"},
		{"POST", "/api/records/trial", "note=x"},
		{"POST", "/api/records/printer", "name=Wren"},
	} {
		if code := b.ask(bad.method, bad.path, RecordSet{[]string{bad.set}}, "", nil); code != 400 && code != 404 {
			t.Errorf("%+v: %d", bad, code)
		}
	}
}

// TestReadings: what a gauge shows is entered, and the page tells the growth that it
// teaches: what a reading tells by itself by hand, what all teach as feint printer fit
// finds it from a table written here.
func TestReadings(t *testing.T) {
	b := shop(t)
	v := func(x float64) *float64 { return &x }
	given := ReadingsGiven{Gauge: "plain-ladder", Printer: "Kestrel", Spool: "red", Set: []ParamValue{}, Readings: []ReadingGiven{
		{Kind: "bore", Feature: "hole 0.20", Nominal: v(8.4), Measured: v(8.2), Uncertainty: v(0.04)},
		{Kind: "peg", Feature: "peg", Nominal: v(8), Measured: v(8.15), Uncertainty: v(0.04)},
		{Kind: "length", Feature: "length", Nominal: v(58.5), Measured: v(58.62), Uncertainty: v(0.06)},
		{Kind: "length", Feature: "width", Nominal: v(12), Measured: v(13.5), Uncertainty: v(0.06)}, // a slip
		{Kind: "gap", Feature: "hole 0.10", Nominal: v(8), Gap: v(0.1), Felt: "stuck"},
		{Kind: "gap", Feature: "hole 0.20", Nominal: v(8), Gap: v(0.2), Felt: "tight"},
	}}
	var l Logged
	if code := b.ask("POST", "/api/workshop/ferry.star/readings", given, "Logged", &l); code != 200 || l.Trial != 1 || l.Deed == 0 {
		t.Fatal(code, l)
	}
	if w := b.book(""); len(w.Readings) != 6 || w.Trials[0].Words != "only gauge plain-ladder" || w.Trials[0].With != "Kestrel, red" {
		t.Errorf("%+v", w)
	}
	const table = `name,print,kind,nominal,size,sd,gap,felt
hole 0.20,trial 1,hole,8.4,8.2,0.02,,
peg,trial 1,peg,8,8.15,0.02,,
length,trial 1,outside,58.5,58.62,0.03,,
width,trial 1,outside,12,13.5,0.03,,
hole 0.10,trial 1,fit,8,,,0.1,stuck
hole 0.20,trial 1,fit,8,,,0.2,tight
`
	rs, err := calibrate.ReadTable("here", strings.NewReader(table))
	if err != nil {
		t.Fatal(err)
	}
	want, err := calibrate.FitReadings(nil, rs)
	if err != nil {
		t.Fatal(err)
	}
	var ps Printers
	b.ask("GET", "/api/printers", nil, "Printers", &ps)
	if len(ps.Printers) != 2 || ps.Printers[0].Name != "Kestrel" || ps.Printers[0].Readings != 6 || ps.Printers[0].Learnt == nil || ps.Printers[1].Learnt != nil || ps.Printers[1].Words == "" {
		t.Fatalf("%+v", ps)
	}
	f := ps.Printers[0].Learnt
	for i, e := range want.Rows() {
		if got := f.Tables[0].Rows[i]; got[0] != e.Name || got[1] != e.Now || got[2] != e.Interval || got[3] != e.Before {
			t.Errorf("%q, feint printer fit tells %+v", got, e)
		}
	}
	// half of what a hole is too small, and a peg too wide, on each surface; two
	// standard uncertainties of the size are half as much a surface
	for row, growth := range map[int]string{0: "+0.080 to +0.120", 1: "+0.055 to +0.095", 2: "+0.030 to +0.090"} {
		if got := f.Tables[1].Rows[row]; got[5] != growth || got[7] != "" {
			t.Errorf("%q", got)
		}
	}
	if got := f.Tables[1].Rows[3]; got[7] != "may be a slip" || !strings.Contains(f.Words, "width may be a slip") {
		t.Errorf("%q, %q", got, f.Words)
	}
	if !strings.Contains(f.Tables[1].Rows[4][5], "at least") || strings.Count(f.SVG, `class="slip"`) != 1 {
		t.Errorf("%q", f.Tables[1].Rows[4])
	}
	b.learns(want)
	b.badReadings(given)
}

// learns keeps what was learnt as a setting; comments of the file stay.
func (b *bench) learns(want *calibrate.Result) {
	t := b.t
	var l Learnt
	if code := b.ask("POST", "/api/printers", LearnAsked{Name: "Kestrel, red", Printer: "Kestrel", Spool: "red"}, "Learnt", &l); code != 200 || len(l.Words) < 2 {
		t.Fatal(code, l)
	}
	file := filepath.Join(b.dir, printed.FileName)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	ms, err := printed.ReadSettings(file, text)
	if err != nil || len(ms) != 1 || ms[0].Name != "Kestrel, red" || ms[0].Printer != "Kestrel" || ms[0].Spool != "red" {
		t.Fatalf("%v %+v", err, ms)
	}
	if got, is := ms[0].Amounts[printed.InPlane].Mean, want.Estimates[0].Value; got-is > 1e-4 || is-got > 1e-4 {
		t.Errorf("%g is written, %g was learnt", got, is)
	}
	if err := os.WriteFile(file, append([]byte("# mine\n"), text...), 0o640); err != nil {
		t.Fatal(err)
	}
	if code := b.ask("POST", "/api/printers", LearnAsked{Name: "Kestrel, red"}, "Learnt", &l); code != 200 {
		t.Fatal(code)
	}
	if again, _ := os.ReadFile(file); string(again) != "# mine\n"+string(text) {
		t.Errorf("learnt anew from the same, the file holds\n%s", again)
	}
	var ps Printers
	b.ask("GET", "/api/printers", nil, "Printers", &ps)
	if len(ps.Printers) != 2 || !ps.Printers[0].Setting || ps.Printers[0].Learnt == nil || !strings.HasPrefix(ps.Printers[0].Grade, "IT") || ps.File != printed.FileName {
		t.Errorf("%+v", ps)
	}
	for _, bad := range []LearnAsked{{Name: "Wren", Printer: "Wren"}, {Name: "unknown printer", Printer: "Kestrel"}, {Name: "", Printer: "Kestrel"}, {Name: "x\ny", Printer: "Nobody"}} {
		if code := b.ask("POST", "/api/printers", bad, "", nil); code != 400 {
			t.Errorf("%+v: %d", bad, code)
		}
	}
}

// badReadings are refused whole, with words.
func (b *bench) badReadings(good ReadingsGiven) {
	v := func(x float64) *float64 { return &x }
	for _, bad := range []ReadingGiven{
		{Kind: "bore", Nominal: v(8)},
		{Kind: "bore", Nominal: v(8), Measured: v(80)},
		{Kind: "bore", Nominal: v(8), Measured: v(8), Felt: "tight"},
		{Kind: "moon", Nominal: v(8), Measured: v(8)},
		{Kind: "gap", Felt: "tight"},
		{Kind: "gap", Felt: "wobbly", Gap: v(0.1)},
		{Kind: "peg", Nominal: v(8), Measured: v(8), Uncertainty: v(0)},
	} {
		k := good
		k.Readings = append([]ReadingGiven{good.Readings[0]}, bad)
		var tr Trouble
		if code := b.ask("POST", "/api/workshop/ferry.star/readings", k, "", &tr); code != 400 || tr.Message == "" {
			b.t.Errorf("%+v: %d", bad, code)
		}
	}
	k := good
	k.Printer = "Nobody"
	if code := b.ask("POST", "/api/workshop/ferry.star/readings", k, "", nil); code != 400 {
		b.t.Error(code)
	}
	if w := b.book(""); len(w.Readings) != 6 || len(w.Trials) != 1 {
		b.t.Errorf("something of it was kept: %+v", w)
	}
}
