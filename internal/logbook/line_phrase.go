package logbook

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// The forms of a phrase, in lower case.
var (
	formMinutes  = regexp.MustCompile(`^(\d+(?:\.\d+)?) ?(?:m|min|mins|minutes?)$`)
	formHours    = regexp.MustCompile(`^(\d+(?:\.\d+)?) ?(?:h|hours?)(?: ?(\d+) ?(?:m|min|mins|minutes?)?)?$`)
	formClock    = regexp.MustCompile(`^(\d+):([0-5]\d)$`)
	formGrams    = regexp.MustCompile(`^(\d+(?:\.\d+)?) ?(?:g|grams?)$`)
	formScale    = regexp.MustCompile(`^(?:scale )?(\d+(?:\.\d+)?) ?(%?)$`)
	formCopies   = regexp.MustCompile(`^(\d+) ?(?:copies|copy)$`)
	formRevision = regexp.MustCompile(`^(?:revision|rev) (\d+)$`)
	formDate     = regexp.MustCompile(`^(?:on )?(\d{4}-\d\d-\d\d)(?: (\d\d?:\d\d))?$`)
	formAgo      = regexp.MustCompile(`^(\d+) days? ago$`)
	formFelt     = regexp.MustCompile(`^(?:(.*) )?(?:gap )?(\d*\.?\d+)(?: ?mm)? (stuck|tight|slides?|loose)$`)
	formMeasured = regexp.MustCompile(`^(\S+)(?: (.*?))? (\d*\.?\d+)(?: ?mm)?(?: ?(?:=|:|is|measures) ?| )(\d*\.?\d+)(?: ?mm)?(?: ?(?:±|\+-|\+/-) ?(\d*\.?\d+)(?: ?mm)?)?(?: (?:in |along )?([xyz]))?$`)
	formHints    = regexp.MustCompile(`^(\d+) hints?$`)
)

// number1 reads what a form has matched as a number.
func number1(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil { // a number too long to be one
		return 0
	}
	return v
}

// duration reads minutes in any of their forms.
func duration(low string) (minutes float64, ok bool) {
	if m := formMinutes.FindStringSubmatch(low); m != nil {
		return number1(m[1]), true
	}
	if m := formHours.FindStringSubmatch(low); m != nil {
		return 60*number1(m[1]) + number1(m[2]), true
	}
	if m := formClock.FindStringSubmatch(low); m != nil {
		return 60*number1(m[1]) + number1(m[2]), true
	}
	return 0, false
}

// amount is a time, a weight, a scale, a count.
func (r *reader) amount(_, low string) (bool, error) {
	if min, ok := duration(low); ok {
		if r.out.Minutes != nil {
			return false, errors.New("the line gives the time twice")
		}
		r.out.Minutes = &min
		return true, nil
	}
	if m := formGrams.FindStringSubmatch(low); m != nil {
		if r.out.Grams != nil {
			return false, errors.New("the line gives the weight twice")
		}
		g := number1(m[1])
		r.out.Grams = &g
		return true, nil
	}
	if m := formScale.FindStringSubmatch(low); m != nil && (m[2] == "%" || strings.HasPrefix(low, "scale")) {
		s := number1(m[1])
		if m[2] == "%" || s > 10 { // "scale 102" can only be a percentage
			s /= 100
		}
		r.out.Scale = &s
		return true, nil
	}
	if m := formCopies.FindStringSubmatch(low); m != nil {
		r.out.Copies = int(number1(m[1]))
		return true, nil
	}
	if m := formRevision.FindStringSubmatch(low); m != nil {
		r.out.Revision = int(number1(m[1]))
		return true, nil
	}
	if low == "new" {
		r.out.New = true
		return true, nil
	}
	return false, nil
}

// when is a day, with or without the hour.
func (r *reader) when(_, low string) (bool, error) {
	now := r.v.Now
	switch m := formDate.FindStringSubmatch(low); {
	case m != nil:
		text, layout := m[1], "2006-01-02"
		if m[2] != "" {
			text, layout = m[1]+" "+m[2], "2006-01-02 15:04"
		}
		t, err := time.ParseInLocation(layout, text, now.Location())
		if err != nil {
			return false, fmt.Errorf("%q is no day: %w", low, err)
		}
		if m[2] == "" {
			t = t.Add(12 * time.Hour)
		}
		if t.After(now.Add(24 * time.Hour)) {
			return false, fmt.Errorf("%q lies ahead", low)
		}
		r.out.At = t
		return true, nil
	case low == "today":
		r.out.At = now
		return true, nil
	case low == "yesterday":
		r.out.At = now.AddDate(0, 0, -1)
		return true, nil
	}
	if m := formAgo.FindStringSubmatch(low); m != nil {
		r.out.At = now.AddDate(0, 0, -int(number1(m[1])))
		return true, nil
	}
	return false, nil
}

// outcomeWords gives the outcome that a verb tells.
func outcomeOf(word string) (Outcome, bool) {
	switch word {
	case "works", "work", "worked", "opens":
		return Works, true
	case "binds", "bind", "bound", "stuck", "jams", "jammed":
		return Binds, true
	case "leaks", "leak", "leaked":
		return Leaks, true
	case "fused", "fuses":
		return Fused, true
	case "broke", "breaks", "broken":
		return Broke, true
	case "failed", "fails":
		return Failed, true
	default:
		return "", false
	}
}

// outcome is a verb, and after it where.
func (r *reader) outcome(p, low string) (bool, error) {
	verb, _, _ := strings.Cut(low, " ")
	o, ok := outcomeOf(verb)
	if !ok {
		return false, nil
	}
	if r.out.Outcome != "" {
		return false, fmt.Errorf("the line tells two outcomes, %s and %s; log two prints, or put one into the note", r.out.Outcome, o)
	}
	r.out.Outcome = o
	place := strings.TrimSpace(p[len(verb):])
	for _, w := range []string{"at ", "on ", "in ", "past ", "near ", "by ", "between "} {
		if strings.HasPrefix(strings.ToLower(place), w) {
			place = place[len(w):]
			break
		}
	}
	r.out.Place = r.place(strings.TrimSpace(place))
	return true, nil
}

// place finds the parts that a place names, and puts a misspelt part right.
func (r *reader) place(p string) string {
	if p == "" {
		return p
	}
	known := slices.Concat(r.v.Parts, r.v.Steps)
	if _, ok := among(p, known); !ok {
		if n := Nearest(p, known); n != "" {
			r.out.Read = append(r.out.Read, fmt.Sprintf("%q read as %q", p, n))
			p = n
		}
	}
	taken := strings.ToLower(" " + p + " ")
	parts := slices.Clone(r.v.Parts)
	slices.SortFunc(parts, func(a, b string) int { return len(b) - len(a) }) // "ring 12" before "ring 1"
	for _, part := range parts {
		if at := " " + strings.ToLower(part) + " "; strings.Contains(taken, at) {
			r.out.PlaceParts = append(r.out.PlaceParts, part)
			taken = strings.ReplaceAll(taken, at, "  ")
		}
	}
	slices.Sort(r.out.PlaceParts)
	return p
}

// felt is a gap and what the hand says of it.
func (r *reader) felt(p, low string) (bool, error) {
	m := formFelt.FindStringSubmatch(low)
	if m == nil {
		return false, nil
	}
	gap := number1(m[2])
	f := Felt(m[3])
	if f == "slide" {
		f = Slides
	}
	feature := strings.TrimSuffix(strings.TrimSpace(p[:len(m[1])]), " gap")
	if strings.EqualFold(feature, "gap") {
		feature = ""
	}
	r.out.Readings = append(r.out.Readings, Reading{Kind: Gap, Feature: feature, Gap: &gap, Felt: f})
	return true, nil
}

// measured is a size drawn and a size found.
func (r *reader) measured(p, low string) (bool, error) {
	m := formMeasured.FindStringSubmatchIndex(low)
	if m == nil {
		return false, nil
	}
	part := func(i int) string {
		if m[2*i] < 0 {
			return ""
		}
		return low[m[2*i]:m[2*i+1]]
	}
	kind := Feature(part(1))
	if !slices.Contains(Features(), kind) {
		return false, nil
	}
	nominal, found := number1(part(3)), number1(part(4))
	k := Reading{Kind: kind, Nominal: &nominal, Measured: &found, Axis: part(6)}
	if m[4] >= 0 {
		k.Feature = p[m[4]:m[5]]
	}
	if u := part(5); u != "" {
		v := number1(u)
		k.Uncertainty = &v
	}
	if ratio := found / nominal; ratio < 0.5 || ratio > 2 {
		return false, fmt.Errorf("%q: %g measured where %g is drawn; is one of them misread?", p, found, nominal)
	}
	r.out.Readings = append(r.out.Readings, k)
	return true, nil
}

// solve is "solved AK 22 min" or "gave up after 40 min"; hints may follow in a
// phrase of their own.
func (r *reader) solve(p, low string) (bool, error) {
	if m := formHints.FindStringSubmatch(low); m != nil {
		if len(r.out.Solves) == 0 {
			return false, fmt.Errorf("%q: say first who solved it, or gave up", p)
		}
		r.out.Solves[len(r.out.Solves)-1].Hints = int(number1(m[1]))
		return true, nil
	}
	padded := " " + low + " "
	gave := strings.Contains(padded, " gave up ")
	if !gave && !strings.Contains(padded, " solved ") {
		return false, nil
	}
	s := Solve{GaveUp: gave}
	words := strings.Fields(p)
	for i := 0; i < len(words); i++ {
		w := strings.ToLower(words[i])
		next := ""
		if i+1 < len(words) {
			next = strings.ToLower(words[i+1])
		}
		two := w + " " + next
		if m := formHints.FindStringSubmatch(two); m != nil {
			s.Hints = int(number1(m[1]))
			i++
			continue
		}
		if min, ok := duration(two); ok {
			s.Minutes = &min
			i++
			continue
		}
		if min, ok := duration(w); ok {
			s.Minutes = &min
			continue
		}
		switch w {
		case "solved", "gave", "up", "by", "in", "after", "with", "and":
		default:
			if s.Who != "" || len([]rune(w)) > lettersOfInitials {
				return false, fmt.Errorf("%q: a solve is told as initials (or none), minutes and hints: solved AK 22 min 1 hint", p)
			}
			s.Who = strings.ToUpper(words[i])
		}
	}
	r.out.Solves = append(r.out.Solves, s)
	return true, nil
}
