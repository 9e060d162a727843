package logbook

import (
	"context"
	"fmt"
	"reflect"
	"strings"
)

// kind is a type of record, for commands that take its name as a word.
type kind struct {
	word   string
	table  string
	fresh  func() any // a pointer to an empty record
	get    func(ctx context.Context, q querier, id ID) (any, error)
	all    func(ctx context.Context, q querier, where string, args ...any) (any, error)
	add    func(t *Tx, v any) error
	change func(t *Tx, v any) error
	drop   func(t *Tx, id ID) error
	past   func(ctx context.Context, q querier, id ID) ([]Past, error)
	was    func(text []byte) (any, error) // a pointer to the record of an entry of the history
}

func kindFor[T Record](word string) kind {
	return kind{
		word: word, table: tableOf[T](),
		fresh: func() any { return new(T) },
		get: func(ctx context.Context, q querier, id ID) (any, error) {
			v, err := Get[T](ctx, q, id)
			return &v, err
		},
		all: func(ctx context.Context, q querier, where string, args ...any) (any, error) {
			return All[T](ctx, q, where, args...)
		},
		add:    func(t *Tx, v any) error { return Add(t, v.(*T)) },    //nolint:forcetypeassert // made by fresh or get
		change: func(t *Tx, v any) error { return Change(t, v.(*T)) }, //nolint:forcetypeassert // likewise
		drop:   Drop[T],
		past:   PastOf[T],
		was:    func(text []byte) (any, error) { return wasOf[T](text) },
	}
}

func kinds() []kind {
	return []kind{
		kindFor[Printer]("printer"), kindFor[Nozzle]("nozzle"), kindFor[Spool]("spool"), kindFor[Profile]("profile"),
		kindFor[Design]("design"), kindFor[Revision]("revision"), kindFor[Proof]("proof"), kindFor[Yield]("yield"),
		kindFor[Trial]("trial"), kindFor[TrialPart]("part"), kindFor[Reading]("reading"), kindFor[Photo]("photo"),
		kindFor[Fault]("fault"), kindFor[Check]("check"), kindFor[Solve]("solve"),
	}
}

// Kinds lists the words that Edit, Show and the like take.
func Kinds() []string {
	var out []string
	for _, k := range kinds() {
		out = append(out, k.word)
	}
	return out
}

// wordOf is what a record of a table is called.
func wordOf(table string) string {
	for _, k := range kinds() {
		if k.table == table {
			return k.word
		}
	}
	return table
}

// kindNamed finds a kind by its word, one or many; the error gives the nearest.
func kindNamed(word string) (kind, error) {
	for _, k := range kinds() {
		if strings.EqualFold(word, k.word) || strings.EqualFold(word, k.table) || strings.EqualFold(word, k.word+"s") {
			return k, nil
		}
	}
	if n := Nearest(word, Kinds()); n != "" {
		return kind{}, fmt.Errorf("there is no kind %q; did you mean %s?", word, n)
	}
	return kind{}, fmt.Errorf("there is no kind %q; there are %s", word, strings.Join(Kinds(), ", "))
}

// AddKind adds a record from settings "field=value" and gives its ID.
func AddKind(ctx context.Context, t *Tx, word string, settings []string) (ID, error) {
	k, err := kindNamed(word)
	if err != nil {
		return 0, err
	}
	v := k.fresh()
	if err := assign(ctx, t, v, settings); err != nil {
		return 0, err
	}
	if err := k.add(t, v); err != nil {
		return 0, err
	}
	return ID(reflect.ValueOf(v).Elem().FieldByName("ID").Int()), nil
}

// EditKind changes fields of a record by settings "field=value"; "field=" empties it.
func EditKind(ctx context.Context, t *Tx, word string, id ID, settings []string) error {
	k, err := kindNamed(word)
	if err != nil {
		return err
	}
	v, err := k.get(ctx, t, id)
	if err != nil {
		return err
	}
	if err := assign(ctx, t, v, settings); err != nil {
		return err
	}
	return k.change(t, v)
}

// DropKind removes a record; see Drop.
func DropKind(t *Tx, word string, id ID) error {
	k, err := kindNamed(word)
	if err != nil {
		return err
	}
	return k.drop(t, id)
}
