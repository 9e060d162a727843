package logbook

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// merger holds two logbooks against each other: first it finds which records are one
// and the same (match), then what becomes of each (decide), and at last write does it.
type merger struct {
	t            *Tx
	forms        map[string]*form
	ours, theirs *side
	prefer       Prefer
	out          *Merged

	to    map[string]map[int64]int64 // the number here of a row of the file
	taken map[string]map[int64]bool  // rows here that have their like in the file
	pairs map[string][]pair
	left  map[origin]bool    // rows, with the numbers of here, that are neither here nor taken over
	lost  map[string][]pair  // rows that the file once had, and what they are here
	gone  map[string][]int64 // their numbers in the file
	next  map[string]int64   // the next free number

	fresh, changed map[string][]row   // to be written
	removed        map[string][]int64 // likewise
	news           []news             // origins to be noted
}

// pair is a row of the file and what it is here.
type pair struct {
	row   *row
	ours  int64
	base  []any // what both once were, with the numbers of here; nil if that is not known
	fresh bool  // it is not here yet
	gone  bool  // it was here and was removed
	left  bool  // it is not taken over
}

type news struct {
	origin
	ours int64
}

// strange stands for the number of a row that is not here.
type strange struct{}

func newMerger(t *Tx, forms map[string]*form, ours, theirs *side, p Prefer) *merger {
	m := &merger{
		t: t, forms: forms, ours: ours, theirs: theirs, prefer: p,
		out: &Merged{Added: map[string]int{}, Changed: map[string]int{}, Removed: map[string]int{}, Kept: map[string]int{}, Same: map[string]int{}},
		to:  map[string]map[int64]int64{}, taken: map[string]map[int64]bool{}, pairs: map[string][]pair{}, left: map[origin]bool{}, lost: map[string][]pair{}, next: map[string]int64{},
		fresh: map[string][]row{}, changed: map[string][]row{}, removed: map[string][]int64{},
	}
	m.gone = theirs.removed()
	return m
}

// merge finds out what is to be done.
func (m *merger) merge() error {
	for _, t := range records() {
		if err := m.match(m.forms[t]); err != nil {
			return err
		}
	}
	for _, t := range records() {
		if err := m.decide(m.forms[t]); err != nil {
			return err
		}
	}
	if err := m.decideRemoved(); err != nil {
		return err
	}
	slices.SortStableFunc(m.out.Clashes, func(a, b Clash) int { // what is missing in the file at last
		return cmp.Or(cmp.Compare(min(1, b.Line), min(1, a.Line)), cmp.Compare(a.Line, b.Line))
	})
	if len(m.out.Clashes) > 0 && m.prefer == PreferNone {
		return &ClashError{m.out.Clashes}
	}
	m.findOrigins()
	return nil
}

// records lists the tables of records.
func records() []string {
	return slices.DeleteFunc(tables(), func(t string) bool { return t == "origins" })
}

// origins lists where a row of the file may have come from, itself first.
func (m *merger) origins(table string, id int64) []origin {
	var out []origin
	if m.theirs.name != "" {
		out = append(out, origin{m.theirs.name, table, id})
	}
	return append(out, m.theirs.from[table][id]...)
}

// candidates lists the numbers here that may be of the same record by origin.
func (m *merger) candidates(table string, id int64) (out []int64) {
	for _, o := range m.origins(table, id) {
		if o.book == m.ours.name {
			out = append(out, o.row)
		}
		out = append(out, m.ours.came[o]...)
	}
	return out
}

// match finds the rows of one table that are here: by origin, then by name or content.
func (m *merger) match(f *form) error {
	t := f.table
	m.to[t], m.taken[t] = make(map[int64]int64, len(m.theirs.rows[t])), make(map[int64]bool, len(m.theirs.rows[t]))
	m.pairs[t] = make([]pair, len(m.theirs.rows[t]))
	var rest []int
	for i := range m.theirs.rows[t] {
		p := &m.pairs[t][i]
		p.row = &m.theirs.rows[t][i]
		if p.row.id <= 0 {
			return fmt.Errorf("line %d: %d is not the number of a record", p.row.line, p.row.id)
		}
		found, err := m.byOrigin(f, p)
		if err != nil {
			return err
		}
		if !found {
			rest = append(rest, i)
		}
	}
	if err := m.matchLost(f); err != nil || len(rest) == 0 {
		return err
	}
	at := m.byKey(f)
	for _, i := range rest {
		p := &m.pairs[t][i]
		if len(at) > 0 {
			k := f.key(m.translated(f, p.row.vals))
			if like := at[k]; len(like) > 0 {
				m.one(f, p, like[0])
				at[k] = like[1:]
				if f.identical() {
					p.base = m.ours.row(t, p.ours).vals
				}
				continue
			}
		}
		n, err := m.number(t)
		if err != nil {
			return err
		}
		p.fresh = true
		m.one(f, p, n)
	}
	return nil
}

// matchLost finds what the rows that the file once had are here.
func (m *merger) matchLost(f *form) error {
	for _, id := range m.gone[f.table] {
		for _, here := range m.candidates(f.table, id) {
			if m.taken[f.table][here] {
				continue
			}
			base, err := m.common(f, id, here)
			if err != nil {
				return err
			}
			if base != nil {
				m.lost[f.table] = append(m.lost[f.table], pair{ours: here, base: base})
				m.to[f.table][id] = here
				break
			}
		}
	}
	return nil
}

// one notes that a row of the file is one here.
func (m *merger) one(f *form, p *pair, ours int64) {
	p.ours = ours
	m.to[f.table][p.row.id] = ours
	m.taken[f.table][ours] = true
}

// number is a number that no row of a table has or had.
func (m *merger) number(table string) (int64, error) {
	if m.next[table] == 0 {
		var n int64
		err := m.t.tx.QueryRowContext(m.t.ctx, fmt.Sprintf(`SELECT 1 + max(coalesce((SELECT max(id) FROM %[1]s), 0),
			coalesce((SELECT max(row) FROM history WHERE tbl = '%[1]s'), 0))`, table)).Scan(&n)
		if err != nil {
			return 0, err
		}
		m.next[table] = n
	}
	m.next[table]++
	return m.next[table] - 1, nil
}

// byOrigin looks for a row by where it came from. It is the same only if some state of
// both is alike: two copies of one logbook give their new rows the same numbers.
func (m *merger) byOrigin(f *form, p *pair) (bool, error) {
	var now []any
	for _, id := range m.candidates(f.table, p.row.id) {
		if m.taken[f.table][id] {
			continue
		}
		if now == nil {
			now = m.translated(f, p.row.vals)
		}
		r := m.ours.row(f.table, id)
		if r != nil && f.alike(now, r.vals) {
			m.one(f, p, id)
			p.base = r.vals
			return true, nil
		}
		base, err := m.common(f, p.row.id, id)
		if err != nil {
			return false, err
		}
		undone := false
		if base != nil && r == nil {
			if undone, err = m.undone(f.table, p.row.id, id); err != nil {
				return false, err
			}
		}
		if base != nil && !undone {
			p.base, p.gone = base, r == nil
			m.one(f, p, id)
			return true, nil
		}
	}
	return false, nil
}

// undone tells whether a row is not here because the import that brought it was taken
// back. (The deed that added a row of a logbook and its copies is the same in all.)
func (m *merger) undone(table string, theirs, ours int64) (bool, error) {
	there, err := m.theirs.old(table, theirs)
	if err != nil {
		return false, err
	}
	here, err := m.ours.old(table, ours)
	if err != nil || here.added == 0 {
		return false, err
	}
	d, err := deeds(m.t.ctx, m.t, "d.id = ?", here.added)
	if err != nil || len(d) == 0 || d[0].Undone == 0 {
		return false, err
	}
	r := m.theirs.row("deeds", there.added)
	return r == nil || r.id != here.added || r.vals[1] != d[0].At.UTC().Format(timeLayout) || r.vals[3] != d[0].What, nil
}

// common is the newest state of a row here that the one in the file once was, nil if
// there is none.
func (m *merger) common(f *form, theirs, ours int64) ([]any, error) {
	mine, err := m.ours.states(f.table, ours)
	if err != nil {
		return nil, err
	}
	if len(mine) == 0 {
		return nil, nil
	}
	their, err := m.theirs.states(f.table, theirs)
	if err != nil {
		return nil, err
	}
	for i, s := range their {
		their[i] = m.translated(f, s)
	}
	for _, s := range slices.Backward(mine) {
		if slices.ContainsFunc(their, func(t []any) bool { return f.alike(t, s) }) {
			return s, nil
		}
	}
	return nil, nil
}

// translated is a row of the file with the numbers of here.
func (m *merger) translated(f *form, vals []any) []any {
	out := slices.Clone(vals)
	for i, t := range f.refs {
		id, ok := vals[i].(int64)
		if t == "" || !ok {
			continue
		}
		if here, ok := m.to[t][id]; ok {
			out[i] = here
		} else {
			out[i] = strange{}
		}
	}
	return out
}

// aside tells whether a column says nothing of which record a row is: its number, its
// number within the design, and the row of its own table that it refers to, which may
// not be found yet.
func (f *form) aside(i int) bool {
	return i == 0 || f.refs[i] == f.table || f.table == "revisions" && f.cols[i] == "number"
}

// alike tells whether two rows are alike in all that says which record they are.
func (f *form) alike(a, b []any) bool {
	for i := range a {
		if a[i] != b[i] && !f.aside(i) {
			return false
		}
	}
	return true
}

// naturalKey lists the columns by which a record of a table is known; none: all.
func (f *form) naturalKey() []string {
	switch f.table {
	case "printers", "nozzles", "spools", "profiles", "designs":
		return []string{"name"}
	case "revisions":
		return []string{"design", "sha256"}
	case "proofs":
		return []string{"sha256", "growth_lo_mm", "growth_hi_mm"}
	case "photos":
		return []string{"trial", "fault", "revision", "sha256"}
	case "trial_parts":
		return []string{"trial", "part"}
	default:
		return nil
	}
}

// identical tells whether records of one key are alike in all fields.
func (f *form) identical() bool { return f.naturalKey() == nil }

// key writes by what a record is known; capitals do not count in a name.
func (f *form) key(vals []any) string {
	var b []byte
	write := func(i int) {
		v := vals[i]
		if s, ok := v.(string); ok && f.cols[i] == "name" {
			v = asciiLower(s)
		}
		if next, err := appendValue(b, v); err == nil {
			b = append(next, ',')
		} else {
			b = append(b, '?') // strange
		}
	}
	if cols := f.naturalKey(); cols != nil {
		for _, c := range cols {
			write(f.col(c))
		}
		return string(b)
	}
	for i := range f.cols {
		if !f.aside(i) {
			write(i)
		}
	}
	return string(b)
}

// asciiLower is what the database compares names by (NOCASE).
func asciiLower(s string) string {
	return strings.Map(func(r rune) rune {
		if 'A' <= r && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return r
	}, s)
}

// byKey lists the rows here that have no like in the file yet, by their key.
func (m *merger) byKey(f *form) map[string][]int64 {
	out := map[string][]int64{}
	for i := range m.ours.rows[f.table] {
		r := &m.ours.rows[f.table][i]
		if !m.taken[f.table][r.id] {
			k := f.key(r.vals)
			out[k] = append(out[k], r.id)
		}
	}
	return out
}

// findOrigins lists where the rows that were found came from, as far as that is not
// known.
func (m *merger) findOrigins() {
	for _, t := range records() {
		for i := range m.pairs[t] {
			p := &m.pairs[t][i]
			if p.left {
				continue
			}
			for _, o := range m.origins(t, p.row.id) {
				if o.book == m.ours.name && o.row == p.ours || slices.Contains(m.ours.came[o], p.ours) {
					continue
				}
				m.news = append(m.news, news{o, p.ours})
			}
		}
	}
}
