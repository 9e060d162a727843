package internal_test

import (
	"bufio"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// TestLayers holds every package of the module to docs/layers.txt: it may import
// only what stands on a lower line.
func TestLayers(t *testing.T) {
	level := readLayers(t)
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports,TestImports,XTestImports", "./...")
	cmd.Dir = ".."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimPrefix(p.ImportPath, "feint/")
		if name == "internal" {
			continue
		}
		own, base := layerOf(level, name)
		if own < 0 {
			t.Errorf("%s stands on no line of docs/layers.txt", name)
			continue
		}
		for _, i := range p.Imports {
			if !strings.HasPrefix(i, "feint/") {
				continue
			}
			other, otherBase := layerOf(level, strings.TrimPrefix(i, "feint/"))
			if otherBase != base && other <= own {
				t.Errorf("%s imports %s, which does not stand on a lower line of docs/layers.txt", name, i)
			}
		}
	}
}

// layerOf gives the line of a package or of the nearest package above it in the
// tree (internal/verdict/fused belongs to internal/verdict).
func layerOf(level map[string]int, name string) (int, string) {
	for n := name; n != "."; n = n[:max(0, strings.LastIndex(n, "/"))] {
		if l, ok := level[n]; ok {
			return l, n
		}
		if !strings.Contains(n, "/") {
			break
		}
	}
	return -1, name
}

func readLayers(t *testing.T) map[string]int {
	f, err := os.Open("../docs/layers.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	level := map[string]int{}
	sc := bufio.NewScanner(f)
	for n := 0; sc.Scan(); {
		line := strings.TrimSpace(sc.Text())
		if line == "" || line[0] == '#' {
			continue
		}
		for _, p := range strings.Fields(line) {
			level[p] = n
		}
		n++
	}
	return level
}
