package logbook

import (
	"fmt"
	"slices"
)

// decide finds out what becomes of the rows of the file in one table.
func (m *merger) decide(f *form) error {
	for i := range m.pairs[f.table] {
		p := &m.pairs[f.table][i]
		now := m.translated(f, p.row.vals)
		now[0] = p.ours
		for c, v := range now {
			if v == (strange{}) {
				return fmt.Errorf("line %d: %s %d names a row of %s that is not there", p.row.line, f.table, p.row.id, f.refs[c])
			}
		}
		var err error
		switch {
		case p.fresh:
			m.decideFresh(f, p, now)
		case p.gone:
			err = m.decideGone(f, p, now)
		default:
			m.decideBoth(f, p, now)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// decideFresh adds a row that is not here, unless what it belongs to was removed here.
func (m *merger) decideFresh(f *form, p *pair, now []any) {
	for i, t := range f.refs {
		id, ok := now[i].(int64)
		switch {
		case t == "" || !ok || !m.left[origin{table: t, row: id}]:
		case i != 0 && (t == f.table || f.loose[i]):
			now[i] = nil
		default:
			m.leave(f, p)
			m.clash(p.row.line, "%s belongs to %s, which was removed here", m.called(f, p.row.vals, p.row.id)+" of the file", m.called(m.forms[t], nil, id))
			return
		}
	}
	if f.table == "revisions" {
		m.giveNumber(f, now)
	}
	m.fresh[f.table] = append(m.fresh[f.table], row{p.ours, now, p.row.line})
	m.out.Added[f.table]++
}

// giveNumber gives a revision a number of its own within its design.
func (m *merger) giveNumber(f *form, now []any) {
	d, n := f.col("design"), f.col("number")
	has, most := false, int64(0)
	look := func(rows []row) {
		for i := range rows {
			if k, ok := rows[i].vals[n].(int64); ok && rows[i].vals[d] == now[d] {
				has, most = has || k == now[n], max(most, k)
			}
		}
	}
	look(m.ours.rows[f.table])
	look(m.fresh[f.table])
	if !has {
		return
	}
	id, _ := now[d].(int64)
	m.note("revision %v of %s in the file is revision %d here", now[n], m.called(m.forms["designs"], nil, id), most+1)
	now[n] = most + 1
}

// decideGone brings a row back that was removed here if the file has changed it, or
// brought it back, and the file decides.
func (m *merger) decideGone(f *form, p *pair, now []any) error {
	past, err := m.theirs.old(f.table, p.row.id)
	if err != nil {
		return err
	}
	if !past.removed && !f.alike(now, p.base) {
		m.clash(p.row.line, "%s was removed here, but changed in the file", m.called(f, p.base, p.ours))
	}
	if !past.removed && m.prefer != PreferFile {
		m.leave(f, p)
		return nil
	}
	m.decideFresh(f, p, now)
	return nil
}

// leave leaves a row of the file out.
func (m *merger) leave(f *form, p *pair) {
	p.left = true
	m.left[origin{table: f.table, row: p.ours}] = true
	m.out.Kept[f.table]++
}

// decideBoth takes each field of a record from the side that changed it.
func (m *merger) decideBoth(f *form, p *pair, now []any) {
	mine := m.ours.row(f.table, p.ours).vals
	out := slices.Clone(mine)
	if f.table == "proofs" { // whatever was proved last
		if at := f.col("at"); text(now[at]) > text(mine[at]) {
			out = now
		}
	} else {
		for i := range f.cols {
			out[i] = m.field(f, p, i, mine[i], now[i])
		}
	}
	switch {
	case !slices.Equal(out, mine):
		m.changed[f.table] = append(m.changed[f.table], row{p.ours, out, p.row.line})
		m.out.Changed[f.table]++
	case f.alike(now, mine):
		m.out.Same[f.table]++
	default:
		m.out.Kept[f.table]++
	}
}

func text(v any) string { s, _ := v.(string); return s }

// field gives what is to stand in a field.
func (m *merger) field(f *form, p *pair, i int, mine, theirs any) any {
	if mine == theirs || i == 0 {
		return mine
	}
	none := f.none[i]
	switch c := f.cols[i]; {
	case c == "number" && f.table == "revisions": // its own within each logbook
		return mine
	case f.refs[i] == f.table: // what a revision came from, which is not always known
		if mine == nil {
			return theirs
		}
		return mine
	case p.base != nil:
		none = p.base[i]
	case c == "name" || c == "at" || c == "at_offset" || f.table == "designs" && mine != none: // either is right
		return mine
	}
	switch {
	case theirs == none:
		return mine
	case mine == none:
		return theirs
	}
	since := ""
	if p.base != nil {
		since = "; both were changed since they were alike"
	}
	m.clash(p.row.line, "%s: %s is %s here and %s in the file%s", m.called(f, m.ours.row(f.table, p.ours).vals, p.ours), f.cols[i], told(mine), told(theirs), since)
	if m.prefer == PreferFile {
		return theirs
	}
	return mine
}

// told is a value in words.
func told(v any) string {
	switch x := v.(type) {
	case nil:
		return "nothing"
	case string:
		if len(x) > 60 {
			x = string([]rune(x)[:min(57, len([]rune(x)))]) + "..."
		}
		return fmt.Sprintf("%q", x)
	default:
		return fmt.Sprint(x)
	}
}

// called is how a record is called: by its name if it has one, or by its number.
func (m *merger) called(f *form, vals []any, id int64) string {
	word := wordOf(f.table)
	if vals == nil {
		if r := m.ours.row(f.table, id); r != nil {
			vals = r.vals
		}
	}
	if i := f.col("name"); i >= 0 && vals != nil && f.table != "photos" { // a photo's is that of a file
		return fmt.Sprintf("%s %s", word, text(vals[i]))
	}
	return fmt.Sprintf("%s %d", word, id)
}

func (m *merger) clash(line int, format string, a ...any) {
	m.out.Clashes = append(m.out.Clashes, Clash{line, fmt.Sprintf(format, a...)})
}

func (m *merger) note(format string, a ...any) {
	m.out.Notes = append(m.out.Notes, fmt.Sprintf(format, a...))
}

// decideRemoved removes what was removed in the file and not changed here, what belongs
// to a record before the record.
func (m *merger) decideRemoved() error {
	all := records()
	slices.Reverse(all)
	for _, t := range all {
		for _, p := range m.lost[t] {
			if err := m.removedThere(m.forms[t], p); err != nil {
				return err
			}
		}
	}
	return nil
}

func (m *merger) removedThere(f *form, p pair) error {
	r := m.ours.row(f.table, p.ours)
	if r == nil {
		return nil
	}
	mine, err := m.ours.old(f.table, p.ours)
	if err != nil || mine.removed { // it was brought back here
		return err
	}
	clash := ""
	if !f.alike(p.base, r.vals) {
		clash = "it was changed here"
	} else if has := m.belongs(f.table, p.ours); has != "" {
		clash = has + " here belongs to it"
	}
	if clash != "" {
		m.clash(0, "%s was removed in the file, but %s", m.called(f, r.vals, p.ours), clash)
		if m.prefer != PreferFile {
			m.out.Kept[f.table]++
			return nil
		}
	}
	m.removed[f.table] = append(m.removed[f.table], p.ours)
	m.out.Removed[f.table]++
	return nil
}

// belongs names a record here that belongs to another and is not removed with it.
func (m *merger) belongs(table string, id int64) string {
	for _, t := range records() {
		f := m.forms[t]
		for i, ref := range f.refs {
			if ref != table || f.loose[i] {
				continue
			}
			for k := range m.ours.rows[t] {
				r := &m.ours.rows[t][k]
				if r.vals[i] == id && !slices.Contains(m.removed[t], r.id) {
					return m.called(f, r.vals, r.id)
				}
			}
		}
	}
	return ""
}
