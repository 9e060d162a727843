package printed

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Preferred is the setting that a workshop's file means where none is named, "" if it
// says nothing. Errors are those of ReadSettings.
func Preferred(name string, data []byte) (string, error) {
	if _, err := ReadSettings(name, data); err != nil {
		return "", err
	}
	var f fileText
	err := toml.Unmarshal(data, &f)
	return f.Default, err
}

// SetPreferred writes into the text of a file which setting is meant where none is
// named; "" takes the line out. All other bytes stay as they are.
func SetPreferred(name string, data []byte, setting string) ([]byte, error) {
	rows := strings.SplitAfter(string(data), "\n")
	line := ""
	if setting != "" {
		line = fmt.Sprintf("default = %s\n", quoted(setting))
	}
	switch at := defaultLine(data); {
	case at >= 0:
		rows[at] = line
	case line != "":
		rows = slices.Insert(rows, 0, line)
		if len(data) > 0 && !bytes.HasPrefix(data, []byte("\n")) {
			rows = slices.Insert(rows, 1, "\n")
		}
	}
	out := []byte(strings.Join(rows, ""))
	if _, err := ReadSettings(name, out); err != nil {
		return nil, err
	}
	return out, nil
}

// defaultLine is the line, from 0, that says which setting is meant; -1 if none does.
// Keys of the file itself stand before its first table.
func defaultLine(data []byte) int {
	for i, row := range strings.Split(string(data), "\n") {
		row = strings.TrimSpace(row)
		if strings.HasPrefix(row, "[") {
			return -1
		}
		if k, _, ok := strings.Cut(row, "="); ok && strings.Trim(strings.TrimSpace(k), `"'`) == "default" {
			return i
		}
	}
	return -1
}

// quoted is a basic string of TOML.
func quoted(s string) string {
	raw, err := toml.Marshal(map[string]string{"k": s})
	if err != nil {
		return `""`
	}
	return strings.TrimSpace(strings.TrimPrefix(string(raw), "k = "))
}

// PutSetting adds a setting to the text of a file as AppendSetting does, or writes it
// over the one of its name. Comments and what stands between other settings stay.
func PutSetting(name string, data []byte, m *Model) ([]byte, error) {
	have, err := ReadSettings(name, data)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(have, func(h *Model) bool { return h.Name == m.Name })
	if i < 0 {
		return AppendSetting(name, data, m)
	}
	if err := m.Check(); err != nil {
		return nil, err
	}
	raw, err := WriteSettings([]*Model{m})
	if err != nil {
		return nil, err
	}
	_, raw, _ = bytes.Cut(raw, []byte("\n\n"))
	rows := strings.SplitAfter(string(data), "\n")
	from, to := block(rows, i)
	out := []byte(strings.Join(rows[:from], "") + string(bytes.TrimRight(raw, "\n")) + "\n" + strings.Join(rows[to:], ""))
	if _, err := ReadSettings(name, out); err != nil {
		return nil, fmt.Errorf("the file with the setting written anew cannot be read again: %w", err)
	}
	return out, nil
}

// block is the range of lines of setting i, without the empty lines and comments that
// lead up to the next.
func block(rows []string, i int) (from, to int) {
	from, to = len(rows), len(rows)
	n := -1
	for k, row := range rows {
		if !strings.HasPrefix(strings.TrimSpace(row), "[[") {
			continue
		}
		switch n++; n {
		case i:
			from = k
		case i + 1:
			to = k
		}
	}
	for to > from+1 {
		if row := strings.TrimSpace(rows[to-1]); row != "" && !strings.HasPrefix(row, "#") {
			break
		}
		to--
	}
	return from, to
}

// Span is the range of growth of upright walls within k standard deviations, prints
// and features together, loose to tight and widened to hold the drawing, mm.
func (m *Model) Span(k float64) [2]float64 {
	a := &m.Amounts[InPlane]
	d := k * math.Hypot(a.Prints, a.Features)
	return [2]float64{max(-1, min(0, a.Mean-d)), min(1, max(0, a.Mean+d))}
}
