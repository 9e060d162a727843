package server

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"feint/internal/design"
)

// TestSave: comments and mode are kept, a newer file is not overwritten, nothing is
// left lying about.
func TestSave(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	file := filepath.Join(b.dir, "ferry.star")
	var a Text
	b.ask("GET", "/api/designs/ferry.star", nil, "Text", &a)
	if a.Text != ferry || a.SHA256 != digest([]byte(ferry)) {
		t.Fatal("read other words")
	}
	var changed TextOnly
	b.ask("POST", "/api/designs/ferry.star/set", SetInText{a.Text, []ParamValue{{"bollard at", 13.25}}}, "TextOnly", &changed)
	if want := strings.Replace(ferry, `at", 20,`, `at", 13.25,`, 1); changed.Text != want {
		t.Fatalf("%s", changed.Text)
	}
	var saved Text
	if code := b.ask("PUT", "/api/designs/ferry.star", Save{changed.Text, a.SHA256}, "Text", &saved); code != 200 {
		t.Fatal(code)
	}
	if got, _ := os.ReadFile(file); string(got) != changed.Text {
		t.Errorf("%s", got)
	}
	if info, _ := os.Stat(file); info.Mode().Perm() != 0o640 {
		t.Errorf("%v", info.Mode())
	}
	var tr Trouble
	if code := b.ask("PUT", "/api/designs/ferry.star", Save{"lost", a.SHA256}, "", &tr); code != 409 || tr.Code != "newer" || tr.Text != changed.Text || tr.SHA256 != saved.SHA256 {
		t.Errorf("%d %+v", code, tr)
	}
	es, _ := os.ReadDir(b.dir)
	if len(es) != 1 {
		t.Errorf("%v", es)
	}
}

// TestNewDesign: what feint new makes (package design) is made in the workshop itself; what
// is there, a folder or a link that leads nowhere as well, stays as it is, and nothing is
// made outside.
func TestNewDesign(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	var a Text
	if code := b.ask("POST", "/api/designs", NewDesign{"hut"}, "Text", &a); code != 200 {
		t.Fatal(code)
	}
	want := design.Template("hut")["hut.star"]
	got, _ := os.ReadFile(filepath.Join(b.dir, "hut.star"))
	if a.Design != "hut.star" || a.Text != want || string(got) != want || a.SHA256 != digest(got) {
		t.Errorf("made %q: %s", a.Design, got)
	}
	if err := errors.Join(os.Mkdir(filepath.Join(b.dir, "folder.star"), 0o755), os.Symlink("nowhere", filepath.Join(b.dir, "link.star"))); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	for name, want := range map[string]int{
		"hut": 409, "ferry": 409, "folder": 409, "link": 409, "../out": 400, "a/b": 400, "": 400, ".x": 400, "hütte": 400, "x.star": 400, "7": 400, strings.Repeat("x", 65): 400,
	} {
		var tr Trouble
		if code := b.ask("POST", "/api/designs", NewDesign{name}, "", &tr); code != want || (code == 409) != (tr.Code == "there") || tr.Message == "" {
			t.Errorf("%q: %d %+v", name, code, tr)
		}
	}
	if got, _ := os.ReadFile(filepath.Join(b.dir, "ferry.star")); string(got) != ferry {
		t.Error("the ferry was overwritten")
	}
	if es, _ := os.ReadDir(b.dir); len(es) != 4 {
		t.Errorf("%v", es)
	}
}

// TestLineEnds: a file of Windows stays one.
func TestLineEnds(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	old := strings.ReplaceAll(ferry, "\n", "\r\n")
	file := filepath.Join(b.dir, "ferry.star")
	if err := os.WriteFile(file, []byte(old), 0o644); err != nil {
		t.Fatal(err)
	}
	if code := b.ask("PUT", "/api/designs/ferry.star", Save{ferry + "# more\n", digest([]byte(old))}, "Text", nil); code != 200 {
		t.Fatal(code)
	}
	if got, _ := os.ReadFile(file); string(got) != old+"# more\r\n" {
		t.Errorf("%q", got)
	}
}

// TestSetDefault changes only the letters of the number.
func TestSetDefault(t *testing.T) {
	for _, k := range []struct{ text, want string }{
		{`a = param("x", 1.5, min = 1) # µ note`, `a = param("x", 2.25, min = 1) # µ note`},
		{`a = param("µ", 3); b = param("x", -1)`, `a = param("µ", 3); b = param("x", 2.25)`},
		{"a = param(\n    name = \"x\",\n    default = 7, # seven\n)", "a = param(\n    name = \"x\",\n    default = 2.25, # seven\n)"},
		{`a = param("x", default = 7)`, `a = param("x", default = 2.25)`},
		{`def f():` + "\n" + `    return param("x", 1e1)`, `def f():` + "\n" + `    return param("x", 2.25)`},
		{`a = param("y", 7)`, ""},
		{`a = param("x", 2 * 7)`, ""},
		{`a = param("x", 1) + param("x", 2)`, ""},
		{`a = param("x", `, ""},
	} {
		got, err := setDefault("f.star", k.text, "x", 2.25)
		if (err != nil) != (k.want == "") || got != k.want {
			t.Errorf("%s: %s, %v", k.text, got, err)
		}
	}
}

// TestOtherEditor: a change on the disk shows up by itself, once it is there; mistakes
// carry their line.
func TestOtherEditor(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	ch := b.listen("one")
	until(t, ch, "hello")
	time.Sleep(3 * lookEvery) // the watch must have looked once
	broken := strings.Replace(ferry, "gate = part(", "gate = port(", 1)
	if err := os.WriteFile(filepath.Join(b.dir, "ferry.star"), []byte(broken), 0o640); err != nil {
		t.Fatal(err)
	}
	e := until(t, ch, "file")
	if e.File.Design != "ferry.star" || e.File.SHA256 != digest([]byte(broken)) {
		t.Errorf("%+v", e.File)
	}
	b.ask("POST", "/api/proofs", asked("one"), "Started", nil)
	e = until(t, ch, "failed")
	if len(e.Trouble.Problems) == 0 || e.Trouble.Problems[0].Line != 5 || e.Trouble.Problems[0].File != "ferry.star" {
		t.Errorf("%+v", e.Trouble)
	}
	var c Checked
	b.ask("POST", "/api/designs/ferry.star/check", TextOnly{broken}, "Checked", &c)
	if len(c.Problems) == 0 || c.Problems[0].Line != 5 {
		t.Errorf("%+v", c)
	}
	b.ask("POST", "/api/designs/ferry.star/check", TextOnly{ferry}, "Checked", &c)
	if len(c.Problems) != 0 {
		t.Errorf("%+v", c)
	}
}
