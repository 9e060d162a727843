package design

import (
	"fmt"
	"math"

	"go.starlark.net/starlark"
)

func sheetWords() []word {
	g := groupSheet
	return []word{
		{
			group: g, name: "about", gives: "nothing", run: about,
			doc: "What is written on the sheet of the design and in the files that are exported.",
			args: []arg{
				{"title", "words", `""`, "name of the box"},
				{"designer", "words", `""`, "who made it"},
				{"note", "words", `""`, "what there is to say of it"},
				{"license", "words", `""`, "on what terms it may be used"},
				{"revision", "words", `""`, "which state of the work this is"},
			},
			example: `about(title = "Ferry hut", designer = "A. Maker", revision = "B")`,
		},
		{
			group: g, name: "tolerance", gives: "nothing", run: setTolerance,
			doc:     "Largest distance between the flat facets that are computed with and the drawn surface. The finer, the slower; 0.005 mm unless it is said.",
			args:    []arg{{"mm", "mm", "", "from 0.0005 to 0.1"}},
			example: "tolerance(0.002)",
		},
	}
}

const (
	defaultTolerance = 0.005
	minTolerance     = 0.0005
	maxTolerance     = 0.1
	maxSheetLetters  = 4000
)

func about(c *call) starlark.Value {
	d := &c.l.draft
	if d.about {
		c.problem("", "put all into one", "about is used twice")
	}
	d.about = true
	for _, f := range []struct {
		name string
		to   *string
	}{{"title", &d.sheet.Title}, {"designer", &d.sheet.Designer}, {"note", &d.sheet.Note}, {"license", &d.sheet.License}, {"revision", &d.sheet.Revision}} {
		*f.to = c.text(f.name, "")
		if len(*f.to) > maxSheetLetters {
			c.problem(f.name, "shorten it", "about: %s has more than %d letters", f.name, maxSheetLetters)
		}
	}
	return starlark.None
}

func setTolerance(c *call) starlark.Value {
	t := c.number("mm", defaultTolerance)
	if t < minTolerance || t > maxTolerance {
		c.problem("mm", fmt.Sprintf("give one from %s to %s mm", num(minTolerance), num(maxTolerance)), "a tolerance of %s mm", num(t))
		return starlark.None
	}
	c.l.draft.sheet.Tolerance = t
	return starlark.None
}

func mathWords() []word {
	angle := []arg{{"angle", "deg", "", "the angle"}}
	number := []arg{{"v", "", "", "the number"}}
	w := func(name, doc, gives, example string, args []arg, f func(c *call) float64) word {
		return word{group: groupMath, name: name, doc: doc, gives: gives, example: example, args: args, run: func(c *call) starlark.Value { return c.reckoned(f(c)) }}
	}
	of := func(f func(float64) float64) func(c *call) float64 {
		return func(c *call) float64 { return f(c.number("v", 0)) }
	}
	return []word{
		w("sin", "Sine of an angle in degrees.", "a number", "sin(30)", angle, func(c *call) float64 { s, _ := exact(c.angle("angle", 0)); return s }),
		w("cos", "Cosine of an angle in degrees.", "a number", "cos(60)", angle, func(c *call) float64 { _, co := exact(c.angle("angle", 0)); return co }),
		w("tan", "Tangent of an angle in degrees.", "a number", "tan(45)", angle, func(c *call) float64 { s, co := exact(c.angle("angle", 0)); return s / co }),
		w("asin", "The angle, in degrees, whose sine it is.", "degrees", "asin(0.5)", number, of(func(v float64) float64 { return math.Asin(v) * 180 / math.Pi })),
		w("acos", "The angle, in degrees, whose cosine it is.", "degrees", "acos(0.5)", number, of(func(v float64) float64 { return math.Acos(v) * 180 / math.Pi })),
		w("atan2", "The angle, in degrees, of the way from (0, 0) to (x, y). Mind the order: y comes first, as is usual.", "degrees", "atan2(1, 1)",
			[]arg{{"y", "", "", "how far up"}, {"x", "", "", "how far right"}}, func(c *call) float64 { return math.Atan2(c.number("y", 0), c.number("x", 1)) * 180 / math.Pi }),
		w("sqrt", "Square root.", "a number", "sqrt(2)", number, of(math.Sqrt)),
		w("rounded", "The nearest multiple of a step; halves go away from 0.", "a number", "rounded(12.34, 0.2)",
			[]arg{{"v", "", "", "the number"}, {"to", "", "1", "the step"}}, func(c *call) float64 {
				to := c.number("to", 1)
				return math.Round(c.number("v", 0)/to) * to
			}),
	}
}

// reckoned gives a number, or reports that there is none.
func (c *call) reckoned(f float64) starlark.Value {
	if c.failed {
		return c.standIn()
	}
	if math.IsNaN(f) || math.IsInf(f, 0) {
		c.problem("", "check the number it is given", "%s has no value here", c.word.name)
		return c.standIn()
	}
	return starlark.Float(f)
}
