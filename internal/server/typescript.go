package server

import (
	"fmt"
	"reflect"
	"sort"
	"strings"
)

// TypeScript is the types of the wire for the page, and a list of the routes.
func TypeScript() []byte {
	w := &typeWriter{done: map[string]string{}}
	for _, t := range routes() {
		for _, v := range []any{t.in, t.out} {
			if v != nil {
				w.of(reflect.TypeOf(v))
			}
		}
	}
	w.of(reflect.TypeOf(Trouble{}))
	var b strings.Builder
	b.WriteString("// Made from internal/server by go generate; do not edit.\n\n")
	names := make([]string, 0, len(w.done))
	for n := range w.done {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		b.WriteString(w.done[n] + "\n")
	}
	return []byte(b.String())
}

type typeWriter struct{ done map[string]string }

// of is the name of a type in the page.
func (w *typeWriter) of(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Pointer:
		return w.of(t.Elem()) + " | null"
	case reflect.Struct:
		w.object(t)
		return tsName(t)
	case reflect.Slice:
		e := w.of(t.Elem())
		if strings.Contains(e, "|") {
			e = "(" + e + ")"
		}
		return e + "[]"
	case reflect.Array:
		return "[" + strings.TrimSuffix(strings.Repeat(w.of(t.Elem())+", ", t.Len()), ", ") + "]"
	case reflect.Map:
		return "Record<string, " + w.of(t.Elem()) + ">"
	case reflect.String:
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Interface:
		return "unknown"
	default:
		return "number"
	}
}

// tsName keeps clear of names that a browser has already.
func tsName(t reflect.Type) string {
	switch n := t.Name(); n {
	case "Event", "Range", "Text", "Document", "Record":
		return "Wire" + n
	default:
		return n
	}
}

func (w *typeWriter) object(t reflect.Type) {
	n := tsName(t)
	if _, ok := w.done[n]; ok {
		return
	}
	w.done[n] = ""
	var b strings.Builder
	fmt.Fprintf(&b, "export interface %s {\n", n)
	for _, f := range fields(t) {
		opt, typ := "", f.typ
		if f.optional {
			opt = "?"
			if typ.Kind() == reflect.Pointer {
				typ = typ.Elem()
			}
		}
		fmt.Fprintf(&b, "  %s%s: %s;\n", f.name, opt, w.of(typ))
	}
	b.WriteString("}\n")
	w.done[n] = b.String()
}
