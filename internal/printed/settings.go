package printed

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// FileName is what the file of settings is called in a workshop folder.
const FileName = "printers.toml"

// amountText is an Amount as it is written.
type amountText struct {
	Mean     *float64 `toml:"mean"`
	Prints   *float64 `toml:"prints"`
	Features *float64 `toml:"features"`
}

// settingText is one setting as it is written. What is left out is taken from the
// setting named by Like, or from the unknown printer.
type settingText struct {
	Name        string                `toml:"name"`
	Like        string                `toml:"like,omitempty"`
	Printer     string                `toml:"printer,omitempty"`
	Nozzle      *float64              `toml:"nozzle,omitempty"`
	Spool       string                `toml:"spool,omitempty"`
	Profile     string                `toml:"profile,omitempty"`
	Source      string                `toml:"source,omitempty"`
	Layer       *float64              `toml:"layer,omitempty"`
	FirstLayer  *float64              `toml:"first_layer,omitempty"`
	FlareHeight *float64              `toml:"flare_height,omitempty"`
	Growth      map[string]amountText `toml:"growth,omitempty"`
	Shrink      map[string]amountText `toml:"shrink,omitempty"`
}

type fileText struct {
	Default string        `toml:"default,omitempty"` // the setting that is meant where none is named
	Setting []settingText `toml:"setting"`
}

// anyMaterial is how the shrink of materials that are not listed is written.
const anyMaterial = "any"

// ReadSettings reads the settings of a workshop. Errors name the file, the line,
// what is wrong and what to do. name is the file's name for the errors.
func ReadSettings(name string, data []byte) ([]*Model, error) {
	var f fileText
	dec := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return nil, explain(name, err)
	}
	at := lines(data)
	known := map[string]*Model{UnknownName: Unknown()}
	var out []*Model
	for i := range f.Setting {
		s := &f.Setting[i]
		fail := func(key, format string, args ...any) error {
			return fmt.Errorf("%s:%d: %s", name, at.of(i, key), fmt.Sprintf(format, args...))
		}
		if strings.TrimSpace(s.Name) == "" {
			return nil, fail("", `this [[setting]] has no name; add name = "..."`)
		}
		if _, ok := known[s.Name]; ok {
			return nil, fail("name", "there is already a setting called %q; choose another name", s.Name)
		}
		base, ok := known[s.Like]
		if s.Like == "" {
			base = known[UnknownName]
		} else if !ok {
			return nil, fail("like", "there is no setting %q above this one; the settings so far are %q", s.Like, slices.Sorted(maps.Keys(known)))
		}
		m, key, err := s.model(base)
		if err != nil {
			return nil, fail(key, "setting %q: %v", s.Name, err)
		}
		if err := m.Check(); err != nil {
			return nil, fail(strings.Fields(strings.TrimPrefix(err.Error(), "shrink "))[0], "setting %q: %v", s.Name, err)
		}
		known[s.Name] = m
		out = append(out, m)
	}
	if _, ok := known[f.Default]; f.Default != "" && !ok {
		return nil, fmt.Errorf("%s:%d: default: there is no setting %q; the settings are %q", name, defaultLine(data)+1, f.Default, slices.Sorted(maps.Keys(known)))
	}
	return out, nil
}

// model is the setting as a model; key is where an error lies.
func (s *settingText) model(base *Model) (m *Model, key string, err error) {
	m = base.Clone()
	m.Name = s.Name
	text := func(to *string, v string) {
		if v != "" {
			*to = v
		}
	}
	if s.Like == "" {
		m.Printer, m.Source = "", ""
	}
	text(&m.Printer, s.Printer)
	text(&m.Spool, s.Spool)
	text(&m.Profile, s.Profile)
	text(&m.Source, s.Source)
	number := func(to *float64, v *float64) {
		if v != nil {
			*to = *v
		}
	}
	number(&m.Nozzle, s.Nozzle)
	number(&m.Layer, s.Layer)
	number(&m.FirstLayer, s.FirstLayer)
	number(&m.FlareHeight, s.FlareHeight)
	for _, k := range slices.Sorted(maps.Keys(s.Growth)) {
		e := slices.Index(effectNames[:], k)
		if e < 0 {
			return nil, k, fmt.Errorf("%q is no growth; they are %s", k, strings.Join(effectNames[:], ", "))
		}
		s.Growth[k].onto(&m.Amounts[e])
	}
	for _, k := range slices.Sorted(maps.Keys(s.Shrink)) {
		to := k
		if k == anyMaterial {
			to = ""
		}
		a := m.ShrinkOf(to)
		s.Shrink[k].onto(&a)
		m.Shrink[to] = a
	}
	return m, "", nil
}

// onto overwrites what is written.
func (t amountText) onto(a *Amount) {
	for _, x := range []struct {
		to *float64
		v  *float64
	}{{&a.Mean, t.Mean}, {&a.Prints, t.Prints}, {&a.Features, t.Features}} {
		if x.v != nil {
			*x.to = *x.v
		}
	}
}

// explain puts file and line before what the TOML reader says.
func explain(name string, err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		e := &strict.Errors[0]
		row, _ := e.Position()
		return fmt.Errorf("%s:%d: there is no setting called %q; see docs/printing.md for those that are", name, row, strings.Join(e.Key(), "."))
	}
	var at *toml.DecodeError
	if errors.As(err, &at) {
		row, col := at.Position()
		return fmt.Errorf("%s:%d:%d: %s; the file is TOML (toml.io)", name, row, col, strings.TrimPrefix(at.Error(), "toml: "))
	}
	return fmt.Errorf("%s: %w", name, err)
}

// places is where the settings and their keys stand in a file.
type places []map[string]int

// lines looks for the keys line by line: a reader of TOML tells places of what it
// cannot read, not of what it could.
func lines(data []byte) places {
	var out places
	for i, line := range strings.Split(string(data), "\n") {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[[") {
			out = append(out, map[string]int{"": i + 1})
			continue
		}
		if len(out) == 0 {
			continue
		}
		key := strings.Trim(line, "[]")
		if k, _, ok := strings.Cut(line, "="); ok {
			key = strings.TrimSpace(k)
		}
		key = strings.Trim(key[strings.LastIndex(key, ".")+1:], `"' `)
		if _, ok := out[len(out)-1][key]; !ok {
			out[len(out)-1][key] = i + 1
		}
	}
	return out
}

func (p places) of(i int, key string) int {
	if i >= len(p) {
		return 1
	}
	if n, ok := p[i][strings.Trim(key, ":")]; ok {
		return n
	}
	return p[i][""]
}

// WriteSettings writes settings so that ReadSettings gives the same back.
func WriteSettings(ms []*Model) ([]byte, error) {
	var f fileText
	for _, m := range ms {
		s := settingText{
			Name: m.Name, Printer: m.Printer, Spool: m.Spool, Profile: m.Profile, Source: m.Source,
			Nozzle: &m.Nozzle, Layer: &m.Layer, FirstLayer: &m.FirstLayer, FlareHeight: &m.FlareHeight,
			Growth: map[string]amountText{}, Shrink: map[string]amountText{},
		}
		for e := range Effects {
			a := m.Amounts[e]
			s.Growth[e.String()] = amountText{&a.Mean, &a.Prints, &a.Features}
		}
		for k, a := range m.Shrink {
			if k == "" {
				k = anyMaterial
			}
			s.Shrink[k] = amountText{&a.Mean, &a.Prints, &a.Features}
		}
		f.Setting = append(f.Setting, s)
	}
	var b bytes.Buffer
	b.WriteString("# How the printers of this workshop print. Millimetres a surface; mean, standard deviation\n# from print to print (prints) and between the features of one print (features).\n\n")
	enc := toml.NewEncoder(&b)
	enc.SetTablesInline(false)
	if err := enc.Encode(f); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// Named is the setting of that name; "" and UnknownName give the unknown printer.
func Named(ms []*Model, name string) (*Model, error) {
	if name == "" || name == UnknownName {
		return Unknown(), nil
	}
	var names []string
	for _, m := range ms {
		if m.Name == name {
			return m, nil
		}
		names = append(names, m.Name)
	}
	return nil, fmt.Errorf("there is no setting %q; the file has %q, and there is always %q", name, names, UnknownName)
}

// AppendSetting adds a setting to the text of a file, whose other bytes stay as
// they are; an empty text gets a heading. It refuses a name that is taken.
func AppendSetting(name string, data []byte, m *Model) ([]byte, error) {
	have, err := ReadSettings(name, data)
	if err != nil {
		return nil, err
	}
	for _, h := range append(have, Unknown()) {
		if h.Name == m.Name {
			return nil, fmt.Errorf("%s: there is already a setting called %q; choose another name, or take the old one out first", name, m.Name)
		}
	}
	if err := m.Check(); err != nil {
		return nil, err
	}
	raw, err := WriteSettings([]*Model{m})
	if err != nil {
		return nil, err
	}
	if len(bytes.TrimSpace(data)) > 0 {
		_, raw, _ = bytes.Cut(raw, []byte("\n\n"))
		data = append(bytes.TrimRight(bytes.Clone(data), "\n"), "\n\n"...)
	}
	out := append(data, raw...)
	if _, err := ReadSettings(name, out); err != nil {
		return nil, fmt.Errorf("the file with the new setting cannot be read again: %w", err)
	}
	return out, nil
}
