package logbook

import (
	"fmt"
	"strconv"
)

// needing words why a record cannot be removed: what else in the logbook names it, or
// something that would go with it. It is nil if nothing does.
func (t *Tx) needing(table string, id int64) error {
	forms, err := formsOf(t.ctx, t.tx)
	if err != nil {
		return err
	}
	going := map[string][]int64{table: {id}} // what goes, the records before what belongs to them
	for _, child := range tables() {
		for i, parent := range forms[child].refs {
			if !forms[child].along[i] {
				continue
			}
			for _, p := range going[parent] {
				more, err := t.naming(child, forms[child].cols[i], p)
				if err != nil {
					return err
				}
				going[child] = append(going[child], more...)
			}
		}
	}
	for _, other := range tables() {
		for i, parent := range forms[other].refs {
			if forms[other].along[i] || forms[other].loose[i] {
				continue
			}
			for _, p := range going[parent] {
				all, err := t.naming(other, forms[other].cols[i], p)
				if err != nil {
					return err
				}
				if all = without(all, going[other]); len(all) > 0 {
					return neededBy(origin{table: table, row: id}, origin{table: parent, row: p}, origin{table: other, row: all[0]}, forms[other].cols[i], len(all)-1)
				}
			}
		}
	}
	return nil
}

// naming lists the rows that name another.
func (t *Tx) naming(table, col string, id int64) (out []int64, err error) {
	rows, err := t.query(t.ctx, fmt.Sprintf(`SELECT id FROM %s WHERE "%s" = ? ORDER BY id`, table, col), id)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, rows.Err()
}

func without(all, some []int64) (out []int64) {
	in := map[int64]bool{}
	for _, n := range some {
		in[n] = true
	}
	for _, n := range all {
		if !in[n] {
			out = append(out, n)
		}
	}
	return out
}

// neededBy words that what is to be removed, or what goes with it, is named elsewhere.
func neededBy(what, needed, by origin, col string, more int) error {
	called := func(o origin) string { return wordOf(o.table) + " " + strconv.FormatInt(o.row, 10) }
	with, others, names := "", "", "names"
	if needed != what {
		with = ", which would go with it"
	}
	if more > 0 {
		others, names = fmt.Sprintf(" and %d more", more), "name"
	}
	do := fmt.Sprintf("feint log drop %[1]s removes it, feint log edit %[1]s %s= lets it stand by itself", called(by), col)
	switch by.table {
	case "trials", "yields": // of a printer and the like
		do = fmt.Sprintf("feint log edit %s retired=yes puts it away and keeps what was done with it", called(needed))
	}
	return fmt.Errorf("%s cannot be removed: %s%s %s %s%s; %s", called(what), called(by), others, names, called(needed), with, do)
}
