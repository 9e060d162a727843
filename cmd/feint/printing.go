package main

import (
	"context"
	"fmt"
	"path/filepath"

	"feint/internal/export"
	"feint/internal/pipeline"
	"feint/internal/printable"
	"feint/internal/units"

	"github.com/spf13/cobra"
)

// printerFlags say what printer, spool and profile the estimates are for.
type printerFlags struct {
	bed                               string
	line, layer, infill, overhang     float64
	bridge, density                   float64
	walls                             int
	paceStart, paceFactor, filamentMM float64
	on                                string
	changed                           func(string) bool
}

func (p *printerFlags) add(cmd *cobra.Command) {
	d := printable.Default()
	f := cmd.Flags()
	p.changed = f.Changed
	addPrinter(cmd, &p.on, ": what it and the logbook know of the printer is the default of the flags here (default: the one that the file prefers)")
	f.StringVar(&p.bed, "bed", fmt.Sprintf("%gx%gx%g", d.Bed[0], d.Bed[1], d.Bed[2]), "room of the printer, mm")
	f.Float64Var(&p.line, "line", d.Line, "width of a printed line, mm")
	f.Float64Var(&p.layer, "layer", d.Layer, "height of a layer, mm")
	f.Float64Var(&p.infill, "infill", 100*d.Infill, "infill, per cent")
	f.IntVar(&p.walls, "walls", d.Walls, "lines round every layer")
	f.Float64Var(&p.overhang, "overhang", units.Deg(d.Overhang), "steepest face that prints without support, degrees from the vertical")
	f.Float64Var(&p.bridge, "bridge", d.BridgeSpan, "longest bridge that prints, mm")
	f.Float64Var(&p.density, "density", d.Density, "of the filament, g/cm3, for parts whose material gives none")
	f.Float64Var(&p.filamentMM, "filament", d.Filament, "diameter of the filament, mm")
	f.Float64Var(&p.paceStart, "pace-start", 0, "minutes that every print takes beside, from your own times")
	f.Float64Var(&p.paceFactor, "pace", 1, "your printer's minutes over the model's")
}

// settings are the flags that were given, over what is known of the printer named or
// preferred at dir, over the common printer.
func (p *printerFlags) settings(ctx context.Context, dir string) (printable.Settings, error) {
	s := printable.Default()
	m, err := pipeline.NamedPrinter(dir, p.on)
	if err != nil {
		return s, err
	}
	if m != nil {
		if s, err = pipeline.SettingsAt(ctx, dir, s, m); err != nil {
			return s, err
		}
	}
	if p.changed("bed") {
		b, err := export.ReadPlate(p.bed)
		if err != nil {
			return s, fmt.Errorf("--bed %w", err)
		}
		s.Bed = [3]float64{b.Width, b.Depth, s.Bed[2]}
		if b.Height > 0 {
			s.Bed[2] = b.Height
		}
	}
	if p.changed("layer") {
		s.Layer, s.FirstLayer = p.layer, p.layer
	}
	if p.changed("walls") {
		s.Walls = p.walls
	}
	for _, k := range []struct {
		flag string
		to   *float64
		v    float64
	}{
		{"line", &s.Line, p.line},
		{"infill", &s.Infill, p.infill / 100},
		{"overhang", &s.Overhang, units.Rad(p.overhang)},
		{"bridge", &s.BridgeSpan, p.bridge},
		{"density", &s.Density, p.density},
		{"filament", &s.Filament, p.filamentMM},
		{"pace-start", &s.Pace.Start, p.paceStart},
		{"pace", &s.Pace.Factor, p.paceFactor},
	} {
		if p.changed(k.flag) {
			*k.to = k.v
		}
	}
	return s, s.Check()
}

func newPrinting(s streams) *cobra.Command {
	f := &struct {
		common
		printerFlags
		json bool
	}{}
	cmd := &cobra.Command{
		Use:   "printing DESIGN",
		Short: "tell how the parts will print: supports, walls, grams, hours, the best way up",
		Long: `printing builds the parts of DESIGN and tells, for the way up that is drawn and for
others, what hangs over, what is bridged, where supports would touch a face that
slides, which walls are too thin, where a part is needlessly thick (what leaving that
plastic out saves, in grams and minutes), and what the print takes in grams, metres of
filament and minutes by feint's own estimate. It does not prove the motion; "feint
prove" does.`,
		Example: `  feint printing box.star
  feint printing box.star --bed 180x180x180 --layer 0.15 --infill 20`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o, err := f.options(s)
			if err != nil {
				return err
			}
			set, err := f.settings(cmd.Context(), filepath.Dir(args[0]))
			if err != nil {
				return err
			}
			bars := newBars(s.err)
			o.Progress = bars.show
			out, err := pipeline.Printing(cmd.Context(), args[0], o, set)
			bars.close()
			if err != nil {
				return err
			}
			keepEstimate(cmd.Context(), s, args[0], out)
			if f.json {
				return export.WritePrintingJSON(s.out, out.Document(o.Version))
			}
			return out.Write(s.out)
		},
	}
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON document instead of words")
	f.common.add(cmd)
	f.printerFlags.add(cmd)
	return cmd
}
