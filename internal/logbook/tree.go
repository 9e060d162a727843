package logbook

// Branch is a revision in the tree of its design.
type Branch struct {
	SumOf
	Depth int
	// Last tells of every level down to this one whether the branch there is the last of
	// its siblings: what the lines of a drawn tree need.
	Last []bool
}

// Tree puts revisions in the order of a tree: every one followed by those made from
// it, by number. A revision whose parent is not among them, or that goes round in
// a circle, begins a tree of its own.
func Tree(revs []SumOf) []Branch {
	known := map[ID]bool{}
	for i := range revs {
		known[revs[i].ID] = true
	}
	children := map[ID][]int{}
	for i := range revs {
		p := revs[i].Parent
		if !known[p] {
			p = 0
		}
		children[p] = append(children[p], i)
	}
	w := &walker{revs: revs, children: children, seen: map[int]bool{}}
	w.under(children[0], nil)
	for i := range revs { // circles, which only another program can have written
		if !w.seen[i] {
			w.under([]int{i}, nil)
		}
	}
	return w.out
}

type walker struct {
	revs     []SumOf
	children map[ID][]int
	seen     map[int]bool
	out      []Branch
}

func (w *walker) under(list []int, last []bool) {
	for n, i := range list {
		if w.seen[i] {
			continue
		}
		w.seen[i] = true
		here := append(append([]bool{}, last...), n == len(list)-1)
		w.out = append(w.out, Branch{w.revs[i], len(last), here})
		w.under(w.children[w.revs[i].ID], here)
	}
}
