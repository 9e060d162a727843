package verdict_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/verdict"
)

func TestExplain(t *testing.T) {
	d, err := verdict.Explain("Half-Aligned")
	if err != nil || !strings.HasPrefix(d, "# half-aligned\n") {
		t.Errorf("got %.30q, %v", d, err)
	}
	if _, err = verdict.Explain("half-alinged"); err == nil || !strings.Contains(err.Error(), "did you mean half-aligned?") {
		t.Errorf("a misspelt rule gave %v", err)
	}
	if _, err = verdict.Explain("zzz"); err == nil || !strings.Contains(err.Error(), "the rules are broken-mesh") {
		t.Errorf("a name near to none gave %v", err)
	}
}

// TestRulesComplete holds every rule to its form: a documentation with all five
// parts under its own name, and a folder that is in the registry.
func TestRulesComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range verdict.Rules() {
		if seen[r.Name] {
			t.Errorf("%s stands in the registry twice", r.Name)
		}
		seen[r.Name] = true
		if !strings.HasPrefix(r.Doc, "# "+r.Name+"\n") || r.Title == "" {
			t.Errorf("%s: its documentation or title is missing", r.Name)
		}
		for _, part := range []string{"What.", "Why.", "How computed.", "What to change.", "Source."} {
			if !strings.Contains(r.Doc, "**"+part+"**") {
				t.Errorf("%s: the documentation has no part %q", r.Name, part)
			}
		}
	}
	dirs, err := filepath.Glob("rules/*/doc.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range dirs {
		b, err := os.ReadFile(d)
		if err != nil {
			t.Fatal(err)
		}
		name, _, _ := strings.Cut(strings.TrimPrefix(string(b), "# "), "\n")
		if !seen[name] {
			t.Errorf("%s is not in the registry", d)
		}
	}
	if len(dirs) != len(seen) {
		t.Errorf("%d folders, %d rules", len(dirs), len(seen))
	}
}
