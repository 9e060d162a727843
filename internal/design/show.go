package design

import (
	"fmt"
	"strconv"
	"unicode"

	"go.starlark.net/starlark"
)

// num writes a number for a message: six digits, no trailing zeros.
func num(f float64) string { return strconv.FormatFloat(f, 'g', 6, 64) }

// clip shortens words from a file for a message.
func clip(s string) string {
	if r := []rune(s); len(r) > maxNameLength {
		return string(r[:maxNameLength]) + "..."
	}
	return s
}

// describe says what a value is, in a maker's words.
func describe(v starlark.Value) string {
	switch v := v.(type) {
	case starlark.String:
		return fmt.Sprintf("the words %q", clip(string(v)))
	case starlark.Int, starlark.Float:
		f, _ := starlark.AsFloat(v)
		return "the number " + num(f)
	case starlark.Bool:
		return v.String()
	case starlark.NoneType:
		return "None"
	case *starlark.List:
		return "a list"
	case starlark.Tuple:
		return fmt.Sprintf("a group of %d", len(v))
	case *starlark.Dict:
		return "a table { ... }"
	case *starlark.Function:
		return "the function " + clip(v.Name())
	case *starlark.Builtin:
		return "the word " + clip(v.Name()) + " itself"
	case *part:
		return "the part " + v.name
	case *travel:
		return "the travel " + v.String()
	case *freedom:
		return "a travel that is not yet a part's"
	case *outline:
		return "an outline"
	case *vertex:
		return "a corner"
	case *solid:
		return "a solid"
	default:
		return kindName(v.Type())
	}
}

// kindName says what kind of value a type of Starlark is.
func kindName(typ string) string {
	switch typ {
	case "int", "float":
		return "a number"
	case "string":
		return "words in quotes"
	case "dict":
		return "a table"
	case "tuple":
		return "a group in brackets"
	case "NoneType":
		return "None"
	case "bool":
		return "True or False"
	case "builtin_function_or_method":
		return "a word of the language"
	}
	return article(typ)
}

// nameRune tells the characters that a name may hold.
func nameRune(r rune) bool {
	switch r {
	case ' ', '-', '_', '.', '(', ')', '+', '\'', ',', '&', '#':
		return true
	}
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r)
}
