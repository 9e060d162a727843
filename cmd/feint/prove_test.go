package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// TestAgain: the command line told gives a shell the words that were typed (read back by sh).
func TestAgain(t *testing.T) {
	for _, words := range [][]string{
		{"box.star"}, {"my box.star"}, {"it's $HOME.star"}, {`a"b\c.star`}, {"-x.star"}, {"käse.star"}, {"a`b!.star"},
	} {
		f := &proveFlags{common: common{growth: "-0.1..0.05", set: []string{"side gap=0.3", "n=2"}}}
		out, err := exec.Command("sh", "-c", `feint() { for w; do printf '%s\n' "$w"; done; }; `+f.again(words[0])).Output()
		if err != nil {
			t.Fatal(err)
		}
		want := []string{"prove", words[0], "--set", "side gap=0.3", "--set", "n=2", "--growth", "-0.1..0.05"}
		if got := strings.Split(strings.TrimSpace(string(out)), "\n"); !slices.Equal(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestTries(t *testing.T) {
	for value, want := range map[string][]string{"": nil, "all": nil, "climb": {"climb"}, "climb, shake-open": {"climb", "shake-open"}} {
		try, only, err := (&proveFlags{try: value}).tries()
		if err != nil || try != (value != "") || !slices.Equal(only, want) {
			t.Errorf("%q: %v, %q, %v", value, try, only, err)
		}
	}
	if _, _, err := (&proveFlags{try: "climp"}).tries(); err == nil || !strings.Contains(err.Error(), `"climp"`) {
		t.Errorf("%v", err)
	}
}
