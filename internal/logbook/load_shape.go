package logbook

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
)

// shape is which columns a row gives, with the statements that add such rows.
type shape struct {
	table string
	cols  []string
	whole []bool   // of whole numbers, by column
	said  [][]byte // how the row before told its values, where it was plain
	vals  []any    // and what they were
	add   adder    // adds one row
	many  []batch  // add addRows of them
	wait  []any    // the values of the rows that are not added yet
	rows  int      // how many
	vary  []bool   // in which columns they are not all alike
}

// addRows is how many rows are added at once: the way to the database costs more than
// a row. Beyond this little is won.
const addRows = 32

// adder is a statement of the driver itself: package database/sql would copy the
// arguments value by value.
type adder interface {
	driver.Stmt
	driver.StmtExecContext
}

// batch adds addRows rows. Where they are alike in a column it takes the value once.
type batch struct {
	vary []bool // which columns it takes row by row
	add  adder
	args int // how many it takes: those that are alike, then row by row
	free chan []driver.NamedValue
}

// maxBatches is how many sets of columns that are alike have a statement of their own.
const maxBatches = 6

// row is the place of the next row's values.
func (k *shape) row() []any { return k.wait[k.rows*len(k.cols):][:len(k.cols)] }

// put takes the row that stands at the shape's next place. Rows of one shape are added
// together; an error may be that of a row before.
func (l *loader) put(k *shape) error {
	if l.keep != nil {
		return l.keep(k, k.row())
	}
	if l.waits != nil && l.waits != k {
		if err := l.flush(); err != nil {
			return err
		}
	}
	l.waits = k
	if k.rows++; k.rows < addRows {
		return nil
	}
	b, err := l.batchOf(k)
	if err != nil {
		return err
	}
	k.rows = 0
	at, args := 0, b.take()
	for i, varies := range b.vary {
		if !varies {
			args[at].Value = k.wait[i]
			at++
		}
	}
	for i, v := range k.wait {
		if b.vary[i%len(b.vary)] {
			args[at].Value = v
			at++
		}
	}
	clear(k.vary)
	return l.addMeanwhile(b, args)
}

// take is room for the batch's arguments that no other use is made of.
func (b *batch) take() []driver.NamedValue {
	select {
	case args := <-b.free:
		return args
	default:
	}
	args := make([]driver.NamedValue, b.args)
	for i := range args {
		args[i].Ordinal = i + 1
	}
	return args
}

// adding adds batches of rows while the next ones are read.
type adding struct {
	jobs chan addJob
	idle chan struct{} // closed when all are done
	line int           // where it failed
	err  error
	bad  atomic.Bool
}

type addJob struct {
	batch *batch
	args  []driver.NamedValue
	line  int
}

// addMeanwhile has a batch added in its turn. An error is that of a batch before.
func (l *loader) addMeanwhile(b *batch, args []driver.NamedValue) error {
	if l.adding == nil {
		l.adding = &adding{jobs: make(chan addJob, 2), idle: make(chan struct{})}
		go l.adding.run(l.exec)
	}
	if l.adding.bad.Load() {
		return l.added()
	}
	l.adding.jobs <- addJob{b, args, l.number}
	return nil
}

func (a *adding) run(exec func(s adder, vals []driver.NamedValue) error) {
	defer close(a.idle)
	for j := range a.jobs {
		if a.err != nil {
			continue
		}
		if err := exec(j.batch.add, j.args); err != nil {
			a.err, a.line = fmt.Errorf("this line or one of the %d before: %w", addRows-1, err), j.line
			a.bad.Store(true)
		}
		select {
		case j.batch.free <- j.args:
		default:
		}
	}
}

// added waits until all batches are added.
func (l *loader) added() error {
	a := l.adding
	if a == nil {
		return nil
	}
	l.adding = nil
	close(a.jobs)
	<-a.idle
	if a.err != nil {
		l.number = a.line
	}
	return a.err
}

// batchOf is the statement that takes fewest values of the rows that wait.
func (l *loader) batchOf(k *shape) (*batch, error) {
	var best *batch
	for i := range k.many {
		b := &k.many[i]
		if b.takes(k.vary) && (best == nil || b.args < best.args) {
			best = b
		}
	}
	if best != nil && (slices.Equal(best.vary, k.vary) || len(k.many) == maxBatches) {
		return best, nil
	}
	b := batch{vary: slices.Clone(k.vary)}
	if best == nil { // the first one takes whatever comes
		for i := range b.vary {
			b.vary[i] = true
		}
	}
	err := b.prepare(l, k)
	k.many = append(k.many, b)
	return &k.many[len(k.many)-1], err
}

// takes tells whether the columns that are not alike are all taken row by row.
func (b *batch) takes(vary []bool) bool {
	for i, v := range vary {
		if v && !b.vary[i] {
			return false
		}
	}
	return true
}

func (b *batch) prepare(l *loader, k *shape) (err error) {
	var from []string // what stands in the columns
	n := 0
	for _, varies := range b.vary {
		if varies {
			n++
			from = append(from, fmt.Sprint("column", n))
		} else {
			from = append(from, "?")
		}
	}
	if n == 0 { // cannot be: the first column has the key
		return fmt.Errorf("%s: rows are alike in every column", k.table)
	}
	marks := marks(n)
	b.args, b.free = len(b.vary)-n+n*addRows, make(chan []driver.NamedValue, 4)
	b.add, err = l.prepare(fmt.Sprintf("INSERT INTO %s(%s) SELECT %s FROM (VALUES %s%s)",
		k.table, quoted(k.cols), strings.Join(from, ", "), marks, strings.Repeat(", "+marks, addRows-1)))
	return err
}

// marks stands for the values of n columns.
func marks(n int) string { return "(" + strings.TrimSuffix(strings.Repeat("?, ", n), ", ") + ")" }

// flush adds the rows that wait, one by one.
func (l *loader) flush() error {
	k := l.waits
	if err := l.added(); err != nil || k == nil {
		return err
	}
	l.waits = nil
	n, one := len(k.cols), make([]driver.NamedValue, len(k.cols))
	for at := 0; at < k.rows*n; at += n {
		for i := range one {
			one[i] = driver.NamedValue{Ordinal: i + 1, Value: k.wait[at+i]}
		}
		if err := l.exec(k.add, one); err != nil {
			return fmt.Errorf("one of the %d lines before: %w", k.rows, err)
		}
	}
	k.rows = 0
	clear(k.vary)
	return nil
}

// exec runs a statement. What ends the context is looked for elsewhere: to have the
// driver watch it costs more than the row.
func (l *loader) exec(s adder, vals []driver.NamedValue) error {
	return l.c.Raw(func(any) error {
		_, err := s.ExecContext(context.WithoutCancel(l.ctx), vals)
		return err
	})
}

// shapeOf is the shape of rows of a table with the given columns, made once.
func (l *loader) shapeOf(table string, cols []string) (*shape, error) {
	kinds, ok := l.kinds[table]
	if !ok {
		return nil, fmt.Errorf("there is no table %q", table)
	}
	n := len(cols)
	k := &shape{
		table: table, cols: cols, said: make([][]byte, n), vals: make([]any, n),
		wait: make([]any, n*addRows), vary: make([]bool, n),
	}
	for _, c := range cols {
		if kinds[c] == "" {
			return nil, fmt.Errorf("%s has no column %q", table, c)
		}
		k.whole = append(k.whole, kinds[c] == "INTEGER")
	}
	text := fmt.Sprintf("INSERT INTO %s(%s) VALUES %s", table, quoted(cols), marks(n))
	if old := l.adds[text]; old != nil {
		return old, nil
	}
	if l.keep == nil {
		var err error
		if k.add, err = l.prepare(text); err != nil {
			return nil, err
		}
	}
	l.adds[text] = k
	return k, nil
}

func (l *loader) prepare(text string) (out adder, err error) {
	err = l.c.Raw(func(c any) error {
		p, ok := c.(driver.ConnPrepareContext)
		if !ok {
			return errors.New("the database's driver prepares nothing")
		}
		s, err := p.PrepareContext(l.ctx, text)
		if err != nil {
			return err
		}
		if out, ok = s.(adder); !ok {
			return errors.New("the database's driver runs no statement with a context")
		}
		return nil
	})
	return out, err
}

// close ends the statements.
func (l *loader) close() error {
	err := l.added() // told already where it matters
	return joined(err, l.c.Raw(func(any) (err error) {
		for _, k := range l.adds {
			if k.add != nil {
				err = joined(err, k.add.Close())
			}
			for _, b := range k.many {
				err = joined(err, b.add.Close())
			}
		}
		return err
	}))
}
