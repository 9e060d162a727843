package pipeline

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"

	"feint/internal/logbook"
	"feint/internal/printable"
	"feint/internal/printed"
)

// usualBore is the diameter at which the undersize of bores is told in one number, mm.
const usualBore = 10

// lineOfNozzle is the width of a printed line as a share of the nozzle (common
// practice, no source).
const lineOfNozzle = 1.125

// PrintSettings are the settings of a print with what is known of a printer put in:
// layers, line, flare, bores, seam, ovals, shrink, each as expected.
func PrintSettings(base printable.Settings, m *printed.Model) printable.Settings {
	s := base
	s.Name = m.Name
	mean := func(e printed.Effect) float64 { return m.Amounts[e].Mean }
	if m.Layer > 0 {
		s.Layer = m.Layer
	}
	if m.FirstLayer > 0 {
		s.FirstLayer = m.FirstLayer
	}
	if m.Nozzle > 0 {
		s.Line = lineOfNozzle * m.Nozzle
	}
	s.FlareHeight, s.Flare, s.Seam = m.FlareHeight, mean(printed.Flare), mean(printed.Seam)
	s.BoreSmall = 2 * (mean(printed.InPlane) + mean(printed.Bore) + mean(printed.BoreSmall)/usualBore)
	s.Shrink = map[string]float64{}
	for k, v := range base.Shrink {
		s.Shrink[k] = v
	}
	for k, a := range m.Shrink {
		if k != "" {
			s.Shrink[strings.ToUpper(k)] = a.Mean
		}
	}
	return s
}

// NoPrinter is the word by which no printer is meant, whatever the workshop prefers.
const NoPrinter = "none"

// NamedPrinter is the model of the setting of a name in the nearest printers.toml at
// or above dir, or of the one that the file prefers where none is named; nil if that
// is none.
func NamedPrinter(dir, name string) (*printed.Model, error) {
	if name == NoPrinter {
		return nil, nil
	}
	ms, file, err := FindPrinters(dir)
	if err != nil {
		return nil, err
	}
	if name == "" {
		if file == "" {
			return nil, nil
		}
		data, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		if name, err = printed.Preferred(file, data); err != nil || name == "" {
			return nil, err
		}
	}
	if file == "" && name != printed.UnknownName {
		return nil, fmt.Errorf("printer %q: there is no %s in %s or above it; make one with: feint printer add %q", name, printed.FileName, dir, name)
	}
	m, err := printed.Named(ms, name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return m, nil
}

// printerSpan is how many standard deviations of a known printer a proof asks for, unless
// a growth is asked: 19 of 20 prints.
const printerSpan = 2

// SpanOf is the range of growth that is asked of prints on a printer, mm a surface; false
// if nothing is known of it.
func SpanOf(m *printed.Model) (growth [2]float64, known bool) {
	if m == nil || m.Name == printed.UnknownName {
		return DefaultGrowth, false
	}
	return m.Span(printerSpan), true
}

// ForPrinter makes o ask of prints on a printer: with its settings, and at the growths of
// its prints unless keepGrowth. A nil m changes nothing. dir is where the logbook is looked
// for from.
func (o *Options) ForPrinter(ctx context.Context, dir string, m *printed.Model, keepGrowth bool) error {
	if m == nil {
		return nil
	}
	s, err := SettingsAt(ctx, dir, printable.Default(), m)
	if err != nil {
		return err
	}
	o.Print, o.Printer = &s, m
	if g, known := SpanOf(m); known && !keepGrowth {
		o.Growth = g
	}
	return nil
}

// SettingsAt puts what is known of a printer into settings: its model, and what the
// logbook at or above dir knows of it. A logbook is only read.
func SettingsAt(ctx context.Context, dir string, base printable.Settings, m *printed.Model) (printable.Settings, error) {
	s := PrintSettings(base, m)
	at, ok := logbook.Find(dir)
	if !ok {
		return s, nil
	}
	b, err := logbook.Open(ctx, at, logbook.Options{ReadOnly: true})
	if err != nil {
		return s, fmt.Errorf("the logbook: %w", err)
	}
	s, _, err = OwnSettings(ctx, b, s, m)
	return s, errors.Join(err, b.Close())
}

// OwnSettings are those with what a logbook knows of the printer, spool and profile
// of the same names: room, density, layers, and the pace learnt from timed prints, of
// which timed is how many there were.
func OwnSettings(ctx context.Context, b *logbook.Book, s printable.Settings, m *printed.Model) (out printable.Settings, timed int, err error) {
	setup, err := SetupOf(ctx, b, m)
	if err != nil {
		return s, 0, err
	}
	if setup.Printer != 0 {
		p, err := logbook.Get[logbook.Printer](ctx, b, setup.Printer)
		if err != nil {
			return s, 0, err
		}
		for k, v := range [3]float64{p.BedX, p.BedY, p.Height} {
			if v > 0 {
				s.Bed[k] = v
			}
		}
	}
	if setup.Spool != 0 {
		p, err := logbook.Get[logbook.Spool](ctx, b, setup.Spool)
		if err != nil {
			return s, 0, err
		}
		if p.Density != nil && *p.Density > 0 {
			s.Density = *p.Density
		}
	}
	if setup.Profile != 0 {
		p, err := logbook.Get[logbook.Profile](ctx, b, setup.Profile)
		if err != nil {
			return s, 0, err
		}
		for _, k := range []struct {
			to *float64
			v  *float64
		}{{&s.Layer, p.Layer}, {&s.FirstLayer, p.First}, {&s.Line, p.Line}} {
			if k.v != nil && *k.v > 0 {
				*k.to = *k.v
			}
		}
	}
	if setup.Printer == 0 { // other printers' times say nothing of this one
		return s, 0, s.Check()
	}
	fit, n, err := LearnPace(ctx, b, setup)
	if err != nil {
		return s, 0, err
	}
	if n > 0 {
		s.Pace = fit.Pace
	}
	return s, n, s.Check()
}

// SetupOf finds what a model is of in a logbook: the printer, nozzle, spool and
// profile of the same names. What the logbook does not know, or the model does not
// name, stays 0.
func SetupOf(ctx context.Context, b *logbook.Book, m *printed.Model) (out logbook.Setup, err error) {
	find := func(to *logbook.ID, name string, named func(context.Context, *logbook.Book, string) (logbook.ID, error)) {
		if name == "" || err != nil {
			return
		}
		id, e := named(ctx, b, name)
		if e == nil {
			*to = id
		} else if !errors.Is(e, logbook.ErrNoSuch) {
			err = e
		}
	}
	find(&out.Printer, m.Printer, func(c context.Context, b *logbook.Book, n string) (logbook.ID, error) {
		return logbook.Named[logbook.Printer](c, b, n)
	})
	find(&out.Spool, m.Spool, func(c context.Context, b *logbook.Book, n string) (logbook.ID, error) {
		return logbook.Named[logbook.Spool](c, b, n)
	})
	find(&out.Profile, m.Profile, func(c context.Context, b *logbook.Book, n string) (logbook.ID, error) {
		return logbook.Named[logbook.Profile](c, b, n)
	})
	if m.Nozzle > 0 && err == nil {
		all, e := logbook.All[logbook.Nozzle](ctx, b, "diameter_mm = ? ORDER BY id", math.Round(m.Nozzle*1e6)/1e6)
		if err = e; err == nil && len(all) == 1 {
			out.Nozzle = all[0].ID
		}
	}
	return out, err
}
