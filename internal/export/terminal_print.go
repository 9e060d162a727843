package export

import (
	"fmt"
	"strings"

	"feint/internal/verdict/wording"
)

// sorted parts the findings into those told in full and those that only advise on
// the print, which are summed up unless all are asked for.
func (t *terminal) sorted(d *Document) (told, summed []*FindingInfo) {
	for i := range d.Findings {
		f := &d.Findings[i]
		if advised(f) && !t.style.All {
			summed = append(summed, f)
			continue
		}
		told = append(told, f)
	}
	return told, summed
}

// printing tells in a few lines what the print takes and what there is to know of it.
func (t *terminal) printing(d *Document) {
	p := d.Printing
	if p == nil {
		return
	}
	t.heading("Print")
	t.para("  - ", fmt.Sprintf("%s g, %s m of filament and %s by estimate, every part by itself, on %s.",
		wording.Number(p.Grams, 0), wording.Number(p.Metres, 1), clockWords(p.Minutes), wording.Name(p.Setting)))
	if s := betterWords(p); s != "" {
		t.para("  - ", s)
	}
	if _, summed := t.sorted(d); len(summed) > 0 {
		t.para("  - ", fmt.Sprintf("It advises: %s. feint prove --all tells them in full.", ruleCounts(summed)))
	}
}

// clockWords is a time of so many minutes.
func clockWords(minutes float64) string {
	m := int(minutes + 0.5)
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %d min", m/60, m%60)
}

// betterWords names the parts that print better another way up.
func betterWords(p *PrintingInfo) string {
	var names []string
	for i := range p.Parts {
		if k := &p.Parts[i]; k.Better != nil {
			names = append(names, fmt.Sprintf("%s (%s)", wording.Name(k.Part), k.Better.Words))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Better another way up: " + wording.List(names) + "; feint printing compares."
}

// ruleCounts sums findings up by rule, in their order.
func ruleCounts(fs []*FindingInfo) string {
	n := map[string]int{}
	var order []string
	for _, f := range fs {
		if n[f.Rule] == 0 {
			order = append(order, f.Rule)
		}
		n[f.Rule]++
	}
	for i, r := range order {
		if n[r] > 1 {
			order[i] = fmt.Sprintf("%s (%d)", r, n[r])
		}
	}
	return strings.Join(order, ", ")
}
