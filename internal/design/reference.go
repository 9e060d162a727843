package design

import (
	_ "embed"
	"fmt"
	"strings"
)

//go:embed intro.md
var intro string

// Reference is the reference of the language in Markdown: an introduction, and
// every word with its arguments, units, defaults and an example, as its own
// documentation says. docs/language.md is this text.
func Reference() string {
	var b strings.Builder
	b.WriteString(intro)
	group := ""
	for _, w := range inGroups(vocabulary()) {
		if w.group != group {
			group = w.group
			fmt.Fprintf(&b, "\n## %s\n", group)
		}
		writeWord(&b, w)
	}
	return b.String()
}

// inGroups brings the words of one heading together, in the order in which the
// headings first appear.
func inGroups(ws []word) []word {
	var order []string
	by := map[string][]word{}
	for _, w := range ws {
		if by[w.group] == nil {
			order = append(order, w.group)
		}
		by[w.group] = append(by[w.group], w)
	}
	var out []word
	for _, g := range order {
		out = append(out, by[g]...)
	}
	return out
}

func writeWord(b *strings.Builder, w word) {
	of := ""
	if w.on != "" {
		of = " (of " + article(w.on) + ")"
	}
	fmt.Fprintf(b, "\n### %s%s\n\n    %s\n\n%s Gives %s.\n\n", w.name, of, w.signature(), w.doc, w.gives)
	b.WriteString("| argument | unit or kind | default | meaning |\n|---|---|---|---|\n")
	for _, a := range w.args {
		def := a.def
		if def == "" {
			def = "needed"
		}
		fmt.Fprintf(b, "| `%s` | %s | %s | %s |\n", a.name, cell(a.unit), cell(def), cell(a.doc))
	}
	fmt.Fprintf(b, "\nExample: `%s`\n", w.example)
}

func article(kind string) string {
	if strings.ContainsAny(kind[:1], "aeiou") {
		return "an " + kind
	}
	return "a " + kind
}

// cell guards what would end a cell of a table.
func cell(s string) string { return strings.ReplaceAll(s, "|", `\|`) }
