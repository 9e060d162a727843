package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/verdict"
)

// rulesDir is where the folders of the rules are.
const rulesDir = "../verdict/rules"

// ruleOf is the name of a rule, which is the heading of its documentation.
func ruleOf(t *testing.T, doc string) string {
	t.Helper()
	b, err := os.ReadFile(doc)
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(b), "\n")
	return strings.TrimPrefix(first, "# ")
}

// TestRuleDesigns proves the two designs that every rule has beside it: of one it must
// have a finding, of the other, which is within its limit, none. The designs are invented;
// a drawing's mesh is never broken, so one stands as a file beside the rule broken-mesh.
func TestRuleDesigns(t *testing.T) {
	if testing.Short() {
		t.Skip("proves two designs of every rule: minutes with the race detector, which uses -short; the plain run has it")
	}
	docs, err := filepath.Glob(filepath.Join(rulesDir, "*", "doc.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, doc := range docs {
		rule, dir := ruleOf(t, doc), filepath.Dir(doc)
		t.Run(rule, func(t *testing.T) {
			t.Parallel()
			told := findingsOf(t, filepath.Join(dir, "testdata", "found.star"), rule)
			if len(told) == 0 {
				t.Error("found.star: no finding")
			}
			for i := range told {
				if told[i].Change == "" {
					t.Errorf("found.star: it is not told what to change: %q", told[i].Message)
				}
			}
			for _, f := range findingsOf(t, filepath.Join(dir, "testdata", "near.star"), rule) {
				t.Errorf("near.star: %q, margin %g %s", f.Message, f.Margin, f.Unit)
			}
		})
	}
}

// findingsOf proves a design and gives what one rule finds.
func findingsOf(t *testing.T, path, rule string) []verdict.Finding {
	t.Helper()
	out, err := Prove(context.Background(), path, Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	var told []verdict.Finding
	for _, f := range out.Verdict.Findings {
		if f.Rule == rule {
			t.Logf("%s: %s", filepath.Base(path), f.Message)
			told = append(told, f)
		}
	}
	return told
}
