package meshfile

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
)

// allocated is how many bytes Read takes in all, freed ones counted.
func allocated(data []byte, o Limits) int64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, _ = Read("a", data, o)
	runtime.ReadMemStats(&after)
	return int64(after.TotalAlloc - before.TotalAlloc)
}

// Files that ask for much and hold little must be refused before memory is
// taken. 64 MiB, short-lived memory included, is above what a refusal costs (at
// most 53 MiB: one tag of a megabyte has 200 000 attributes) and far below what
// the counts and copies ask for (200 GB and more).
func TestHostileFilesTakeNoMemory(t *testing.T) {
	tower := oneObject
	for id := 2; id < 12; id++ {
		tower += fmt.Sprintf(`<object id="%d"><components>%s</components></object>`, id,
			strings.Repeat(fmt.Sprintf(`<component objectid="%d"/>`, id-1), 10))
	}
	ten := func(build string) []byte { return packModel(t, coreModel("", tower, build)) }
	for name, c := range map[string]struct {
		data []byte
		o    Limits
	}{
		"count of 4 billion":    {rawSTL("", 0xffffffff, tetraCorners()...), Limits{}},
		"many empty solids":     {[]byte(strings.Repeat("solid\nendsolid\n", 100_000)), Limits{}},
		"copies of copies":      {ten(`<item objectid="11"/>`), Limits{}},
		"more copies than told": {ten(`<item objectid="6"/>`), Limits{}},
		"zip bomb":              {packModel(t, coreModel("", strings.Repeat("<!-- -->", 8<<20), "")), Limits{}},
		"one long tag":          {packModel(t, coreModel("", "<a "+strings.Repeat(`b="" `, 10<<20)+"/>", "")), Limits{Ratio: 10_000}},
		"deep nesting":          {packModel(t, coreModel("", strings.Repeat("<a>", 1<<20), "")), Limits{Ratio: 10_000}},
		"long text":             {packModel(t, strings.Replace(coreModel("", "", ""), "<res", `<metadata name="Title">`+strings.Repeat("text ", 10<<20)+"</metadata><res", 1)), Limits{Ratio: 10_000}},
	} {
		if _, err := Read("a", c.data, c.o); err == nil {
			t.Errorf("%s: no error", name)
		}
		if n := allocated(c.data, c.o); n > 64<<20 {
			t.Errorf("%s: %d MiB taken", name, n>>20)
		}
	}
}
