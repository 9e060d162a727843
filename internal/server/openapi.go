package server

import (
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
)

// OpenAPI describes the interface (OpenAPI 3.1, whose schemas are JSON Schema
// draft 2020-12), made from the table of routes and the types of the wire.
func OpenAPI() ([]byte, error) {
	d := &describer{schemas: map[string]any{}, types: map[string]reflect.Type{}}
	paths := map[string]map[string]any{}
	for _, t := range routes() {
		if paths[t.path] == nil {
			paths[t.path] = map[string]any{}
		}
		paths[t.path][strings.ToLower(t.method)] = d.operation(t)
	}
	d.of(reflect.TypeOf(Trouble{}))
	doc := map[string]any{
		"openapi": "3.1.0",
		"info": map[string]any{
			"title": "feint bench", "version": "1",
			"description": "What the page of `feint bench` asks of the program, on this machine only. Lengths mm, angles degrees. Made by go generate ./internal/server; do not edit.",
			"license":     map[string]any{"name": "Apache-2.0", "identifier": "Apache-2.0"},
		},
		"servers":    []any{map[string]any{"url": "http://127.0.0.1:{port}", "variables": map[string]any{"port": map[string]any{"default": "0", "description": "printed by feint bench"}}}},
		"paths":      paths,
		"components": map[string]any{"schemas": d.schemas, "securitySchemes": map[string]any{"session": map[string]any{"type": "apiKey", "in": "cookie", "name": "feint-bench-{port}"}}},
		"security":   []any{map[string]any{"session": []any{}}},
	}
	raw, err := json.MarshalIndent(doc, "", "  ")
	return append(raw, '\n'), err
}

// describer turns types into schemas, each named type once.
type describer struct {
	schemas map[string]any
	types   map[string]reflect.Type
}

var inPath = regexp.MustCompile(`\{(\w+)\}`)

func (d *describer) operation(t route) map[string]any {
	op := map[string]any{"operationId": t.id, "summary": t.doc}
	var ps []any
	for _, m := range inPath.FindAllStringSubmatch(t.path, -1) {
		ps = append(ps, map[string]any{"name": m[1], "in": "path", "required": true, "schema": map[string]any{"type": "string"}})
	}
	for _, q := range []struct {
		name string
		must bool
	}{{t.must, true}, {t.may, false}} {
		if q.name != "" {
			ps = append(ps, map[string]any{"name": q.name, "in": "query", "required": q.must, "schema": map[string]any{"type": "string"}})
		}
	}
	if ps != nil {
		op["parameters"] = ps
	}
	if t.in != nil {
		op["requestBody"] = map[string]any{"required": true, "content": map[string]any{"application/json": map[string]any{"schema": d.of(reflect.TypeOf(t.in))}}}
	}
	if t.takes != "" {
		op["requestBody"] = map[string]any{"required": true, "content": map[string]any{t.takes: map[string]any{}}}
	}
	media, schema := "application/json", any(map[string]any{"type": "string"})
	if t.raw != "" {
		media = t.raw
	}
	if t.out != nil {
		schema = d.of(reflect.TypeOf(t.out))
	}
	trouble := map[string]any{"application/json": map[string]any{"schema": map[string]any{"$ref": "#/components/schemas/Trouble"}}}
	op["responses"] = map[string]any{
		"200":     map[string]any{"description": "the answer", "content": map[string]any{media: map[string]any{"schema": schema}}},
		"default": map[string]any{"description": "why there is no answer", "content": trouble},
	}
	if t.open {
		op["security"] = []any{}
	}
	return op
}

// of is the schema of a type.
func (d *describer) of(t reflect.Type) any {
	switch t.Kind() {
	case reflect.Pointer:
		return map[string]any{"anyOf": []any{d.of(t.Elem()), map[string]any{"type": "null"}}}
	case reflect.Struct:
		d.object(t)
		return map[string]any{"$ref": "#/components/schemas/" + t.Name()}
	case reflect.Slice:
		return map[string]any{"type": "array", "items": d.of(t.Elem())}
	case reflect.Array:
		return map[string]any{"type": "array", "items": d.of(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": d.of(t.Elem())}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Uint64:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Interface:
		return map[string]any{}
	default:
		panic(fmt.Sprintf("a %s goes over no wire", t)) // a mistake in wire.go; the generator shows it
	}
}

// object notes the schema of a struct under its name.
func (d *describer) object(t reflect.Type) {
	if _, ok := d.schemas[t.Name()]; ok {
		if d.types[t.Name()] != t {
			panic("two types are called " + t.Name()) // a mistake in wire.go; the generator shows it
		}
		return
	}
	d.types[t.Name()] = t
	props, required := map[string]any{}, []string{}
	o := map[string]any{"type": "object", "additionalProperties": false, "properties": props}
	d.schemas[t.Name()] = o
	for _, f := range fields(t) {
		s := d.of(f.typ)
		if f.optional && f.typ.Kind() == reflect.Pointer {
			s = d.of(f.typ.Elem())
		}
		props[f.name] = s
		if !f.optional {
			required = append(required, f.name)
		}
	}
	if len(required) > 0 {
		o["required"] = required
	}
}

// field is one member of an object as JSON has it.
type field struct {
	name     string
	typ      reflect.Type
	optional bool
}

// fields lists the members of a struct; those of embedded structs count as its own.
func fields(t reflect.Type) []field {
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		tag, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && tag == "":
			out = append(out, fields(f.Type)...)
		case !f.IsExported() || tag == "-":
		default:
			if tag == "" {
				tag = f.Name
			}
			out = append(out, field{tag, f.Type, slices.Contains(strings.Split(opts, ","), "omitempty")})
		}
	}
	return out
}
