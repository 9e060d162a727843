//go:build unix

package design

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestNothingOutsideIsRead tries every way out of the folder that a design has.
func TestNothingOutsideIsRead(t *testing.T) {
	dir := designFolder(t)
	top := filepath.Dir(dir)
	links := map[string]string{
		"link.star": "../secret.star", "link.stl": filepath.Join(top, "secret.stl"), "up": "..", "root": "/",
		"one.stl": "two.stl", "two.stl": "../secret.stl", "loop.stl": "loop.stl", "inside.stl": "lid.stl",
	}
	for name, to := range links {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	if err := syscall.Mkfifo(filepath.Join(dir, "pipe.stl"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{
		"../secret.stl", "sub/../../secret.stl", top + "/secret.stl", "link.stl", "up/secret.stl", "one.stl", "loop.stl",
		"root" + top + "/secret.stl", "sub/../up/secret.stl", "./../box/../secret.stl", "pipe.stl", "sub.stl", "", ".stl",
	} {
		m, err := Load(writeDesign(t, dir, `a = mesh("`+name+`")`), Options{})
		if err == nil {
			t.Errorf("mesh(%q) was read: %v", name, m.Sources)
			continue
		}
		checkOneLine(t, name, err, 1)
	}
	for _, name := range []string{"../secret.star", "link.star", "up/secret.star", top + "/secret.star", "sub"} {
		_, err := Load(writeDesign(t, dir, `load("`+name+`", "size")`), Options{})
		if err == nil {
			t.Errorf("load(%q) was read", name)
			continue
		}
		checkOneLine(t, name, err, 1)
	}
	if _, err := Load(writeDesign(t, dir, `a = mesh("inside.stl")`), Options{}); err != nil {
		t.Errorf("a link within the folder: %v", err)
	}
}

func writeDesign(t *testing.T, dir, line string) string {
	t.Helper()
	p := filepath.Join(dir, "try.star")
	write(t, p, line+rest(line))
	return p
}

// checkOneLine wants one problem, on a line, that tells nothing of the file.
func checkOneLine(t *testing.T, name string, err error, line int) {
	t.Helper()
	var ps *Problems
	if !errors.As(err, &ps) || len(ps.List) != 1 || ps.List[0].Pos.Line != line {
		t.Errorf("%q: %v", name, err)
		return
	}
	for _, s := range ps.Sources {
		if strings.Contains(s, "secret") {
			t.Errorf("%q: %s was read", name, s)
		}
	}
}
