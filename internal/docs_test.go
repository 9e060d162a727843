package internal_test

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"feint/internal/design"
	"feint/internal/export"
	"feint/internal/pipeline"
)

const guide = "../docs/guide.md"

// designsOf writes every whole design of a page (a fenced block of python with a
// file name beside it) into a folder and gives the folder and the names.
func designsOf(t *testing.T, page string) (dir string, names []string) {
	t.Helper()
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	for _, m := range regexp.MustCompile("(?ms)^```python (\\S+\\.star)\n(.*?)^```$").FindAllStringSubmatch(string(text), -1) {
		if err := os.WriteFile(filepath.Join(dir, m[1]), []byte(m[2]), 0o644); err != nil {
			t.Fatal(err)
		}
		names = append(names, m[1])
	}
	if all := strings.Count(string(text), "```python"); len(names) < 3 || len(names) != all {
		t.Fatalf("%s: %d whole designs in %d blocks of python", page, len(names), all)
	}
	return dir, names
}

// TestDesignsOfTheGuide loads every design that the guide shows, and every one
// again with the settings that the guide proposes for it.
func TestDesignsOfTheGuide(t *testing.T) {
	dir, names := designsOf(t, guide)
	for _, name := range names {
		m, err := design.Load(filepath.Join(dir, name), design.Options{})
		if err != nil {
			t.Errorf("%s: %v", guide, err)
		} else if m.Goal.Name == "" {
			t.Errorf("%s has no goal", name)
		}
	}
	text, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	proposed := regexp.MustCompile(`(?m)^    feint prove (\S+\.star) --set "([^"]+)"$`).FindAllStringSubmatch(string(text), -1)
	if len(proposed) == 0 {
		t.Error("the guide proposes no setting")
	}
	for _, p := range proposed {
		set, err := design.ParseSetting(p[2])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := design.Load(filepath.Join(dir, p[1]), design.Options{Set: []design.Setting{set}}); err != nil {
			t.Errorf("%s: %s: %v", guide, p[0], err)
		}
	}
}

// TestAnswersOfTheGuide proves the designs and holds the answers to those that the
// guide prints, and two limits to the sums that it makes by hand: pin and channel
// grow towards each other, so 0.3 mm of room a side bind at 0.3/2; the shortcut of
// hive-2 has 0.9-0.5-0.3 mm in its way and gains 4 mm for each mm that surfaces shrink.
func TestAnswersOfTheGuide(t *testing.T) {
	if testing.Short() {
		t.Skip("proves three designs: minutes with the race detector, which uses -short; the plain run has it")
	}
	dir, names := designsOf(t, guide)
	text, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		out, err := pipeline.Prove(context.Background(), filepath.Join(dir, name), pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		d := out.Document
		shown := printedFor(t, string(text), name)
		if word := strings.ToUpper(d.Verdict); !strings.Contains(shown, "\n  "+word+"   ") {
			t.Errorf("%s: the verdict is %s, the guide says\n%s", name, word, shown)
		}
		if m := regexp.MustCompile(`(?m)^Moves: (\d+),`).FindStringSubmatch(shown); m != nil && m[1] != strconv.Itoa(len(d.Solution)) {
			t.Errorf("%s: %d moves, the guide says %s", name, len(d.Solution), m[1])
		}
		holds(t, name+": bind", d.Fit.BindLimit, 0.3/2)
		if name == "hive-2.star" {
			holds(t, name+": leak", d.Fit.LeakLimit, -0.1/4)
		}
	}
}

// facet is how far the meshes may lie from what was drawn, mm: the default
// tolerance of a design.
const facet = 0.005

// holds fails unless a limit of growth is known to 0.02 mm and holds a value.
func holds(t *testing.T, what string, limit *export.LimitInfo, want float64) {
	t.Helper()
	switch {
	case limit == nil || limit.Lo == nil || limit.Hi == nil:
		t.Errorf("%s: none, want %g", what, want)
	case *limit.Hi-*limit.Lo > 0.02:
		t.Errorf("%s: only known to lie from %g to %g", what, *limit.Lo, *limit.Hi)
	case want < *limit.Lo-facet || want > *limit.Hi+facet:
		t.Errorf("%s: from %g to %g, want %g", what, *limit.Lo, *limit.Hi, want)
	}
}

// printedFor is what the guide shows as the answer to "feint prove name".
func printedFor(t *testing.T, text, name string) string {
	t.Helper()
	_, after, ok := strings.Cut(text, "\n    $ feint prove "+name+"\n")
	if !ok {
		t.Fatalf("the guide shows no answer for %s", name)
	}
	var lines []string
	for line := range strings.Lines(after) {
		if line != "\n" && !strings.HasPrefix(line, "    ") {
			break
		}
		lines = append(lines, strings.TrimPrefix(line, "    "))
	}
	return strings.Join(lines, "")
}
