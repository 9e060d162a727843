package export

import (
	"fmt"
	"io"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/printable"
	"feint/internal/verdict"
)

// What a finding is about.
const (
	aboutBox   = "box"
	aboutPrint = "print"
)

// PrintingVersion is the version of the document of `feint printing --json`.
const PrintingVersion = 1

// PrintingDocument is the contract of `feint printing --json`.
type PrintingDocument struct {
	Format        string        `json:"format"` // always "feint printing"
	FormatVersion int           `json:"format_version"`
	FeintVersion  string        `json:"feint_version"`
	Design        DesignInfo    `json:"design"`
	DesignSHA256  string        `json:"design_sha256"`
	Params        []ParamInfo   `json:"params"`
	Printing      PrintingInfo  `json:"printing"`
	Findings      []FindingInfo `json:"findings"`
}

// PrintingInfo tells what the print takes, every part by itself and as drawn, by
// feint's own estimate; what is bought is left out.
type PrintingInfo struct {
	Setting  string         `json:"setting"`  // the printer that it is told for
	Complete bool           `json:"complete"` // false where a part has no sound mesh and is missing
	Grams    float64        `json:"grams"`
	Metres   float64        `json:"metres"`
	Minutes  float64        `json:"minutes"`
	Model    float64        `json:"minutes_by_model"` // before they were corrected by the printer's own times
	Parts    []PrintingPart `json:"parts"`
}

// PrintingPart is one part as it lies on the plate by the design.
type PrintingPart struct {
	Part     string      `json:"part"`
	Way      WayUpInfo   `json:"as_drawn"`
	Better   *WayUpInfo  `json:"better"` // null where the drawn way up is the best
	Why      []string    `json:"why"`    // it is better, or the drawn one is
	Walls    WallsInfo   `json:"walls"`
	Compared []WayUpInfo `json:"compared,omitempty"` // the other ways up, best first
	Spare    []SpareInfo `json:"spare,omitempty"`    // plastic that could be left out
}

// WayUpInfo is a part lying one way.
type WayUpInfo struct {
	Name           string     `json:"name"`
	Words          string     `json:"words"` // as the design says it: down = z
	Down           [3]float64 `json:"down"`  // direction of the part as drawn that points to the plate
	Size           [3]float64 `json:"size_mm"`
	Fits           bool       `json:"fits_bed"`
	Stands         bool       `json:"stands"`
	Contact        float64    `json:"on_plate_mm2"`
	Overhang       float64    `json:"overhang_mm2"`
	Bridge         float64    `json:"longest_bridge_mm"`
	Support        float64    `json:"support_mm3"`
	InSlide        float64    `json:"support_in_slide_mm2"`
	Grams          float64    `json:"grams"`
	Metres         float64    `json:"metres"`
	Minutes        float64    `json:"minutes"`
	SupportGrams   float64    `json:"support_grams"`
	SupportMinutes float64    `json:"support_minutes"`
	Layers         int        `json:"layers"`
}

// SpareInfo is plastic that could be left out without touching a face that slides.
type SpareInfo struct {
	At      [3]float64 `json:"at_mm"`
	Volume  float64    `json:"volume_mm3"`
	Grams   float64    `json:"grams"`
	Minutes float64    `json:"minutes"`
	Open    string     `json:"open"`
	Sides   []SideInfo `json:"sides,omitempty"` // of the outside, all at once
}

// SideInfo is a side of the outside that could lie farther in.
type SideInfo struct {
	Out   [3]float64 `json:"outwards"`
	Depth float64    `json:"depth_mm"`
}

func spareInfo(f *printable.Spare) SpareInfo {
	out := SpareInfo{At: [3]float64{tidy(f.At.X), tidy(f.At.Y), tidy(f.At.Z)}, Volume: tidy(f.Volume), Grams: tidy(f.Grams), Minutes: tidy(f.Minutes), Open: f.Open}
	for _, k := range f.Sides {
		out.Sides = append(out.Sides, SideInfo{[3]float64{k.Out.X, k.Out.Y, k.Out.Z}, tidy(k.Depth)})
	}
	return out
}

// NewPrinting puts a survey into the form of the contract; full lists every way up
// that was compared and what could be left out.
func NewPrinting(m *mechanism.Mechanism, s *printable.Survey, full bool) *PrintingInfo {
	if s == nil {
		return nil
	}
	setting := s.Settings.Name
	if setting == "" {
		setting = "a common printer"
	}
	p := &PrintingInfo{Setting: setting, Complete: true, Parts: []PrintingPart{}}
	for i, r := range s.Reports {
		if m.Parts[i].Material.Bought {
			continue
		}
		if r == nil {
			p.Complete = false
			continue
		}
		k := PrintingPart{Part: m.Parts[i].Name, Way: wayUpInfo(&r.Given), Why: list(r.Why), Walls: wallsInfo(m, r, &s.Settings)}
		if r.Best >= 0 {
			b := wayUpInfo(&r.Ways[r.Best])
			k.Better = &b
		}
		if full {
			for n := range r.Ways {
				k.Compared = append(k.Compared, wayUpInfo(&r.Ways[n]))
			}
			for _, f := range r.Spare {
				k.Spare = append(k.Spare, spareInfo(&f))
			}
		}
		e := &r.Given.Estimate
		p.Grams, p.Metres, p.Minutes = p.Grams+e.Grams, p.Metres+e.Metres, p.Minutes+e.Minutes
		p.Model += s.Settings.Pace.Model(e.Minutes)
		p.Parts = append(p.Parts, k)
	}
	p.Grams, p.Metres, p.Minutes, p.Model = tidy(p.Grams), tidy(p.Metres), tidy(p.Minutes), tidy(p.Model)
	return p
}

func wayUpInfo(w *printable.WayUp) WayUpInfo {
	e := &w.Estimate
	inv := w.Up.Inverse()
	d := inv.Turn(geom.Vec{Z: -1})
	return WayUpInfo{
		Name: w.Name, Words: DownWords(d), Down: [3]float64{tidy(d.X), tidy(d.Y), tidy(d.Z)},
		Size: [3]float64{tidy(w.Size.X), tidy(w.Size.Y), tidy(w.Size.Z)}, Fits: w.Fits, Stands: w.Stands,
		Contact: tidy(w.Contact), Overhang: tidy(w.Overhang), Bridge: tidy(w.LongSpan), Support: tidy(w.Support), InSlide: tidy(w.InSlide),
		Grams: tidy(e.Grams), Metres: tidy(e.Metres), Minutes: tidy(e.Minutes),
		SupportGrams: tidy(e.SupportGrams), SupportMinutes: tidy(e.SupportMinutes), Layers: e.Layers,
	}
}

// DownWords writes the direction of a part as drawn that points to the plate as the
// design language takes it.
func DownWords(d geom.Vec) string {
	for _, a := range [3]struct {
		name string
		v    float64
	}{{"x", d.X}, {"y", d.Y}, {"z", d.Z}} {
		switch {
		case a.v > 1-1e-9:
			return "down = " + a.name
		case a.v < -1+1e-9:
			return "down = -" + a.name
		}
	}
	round := func(v float64) float64 { return math.Round(v*1e4)/1e4 + 0 }
	return fmt.Sprintf("down = (%g, %g, %g)", round(d.X), round(d.Y), round(d.Z))
}

// NewPrintingDocument is what `feint printing --json` writes.
func NewPrintingDocument(m *mechanism.Mechanism, s *printable.Survey, fs []verdict.Finding, version string) *PrintingDocument {
	b := &builder{m: m}
	return &PrintingDocument{
		Format: "feint printing", FormatVersion: PrintingVersion, FeintVersion: version,
		Design: DesignInfo{m.Name, m.Title, m.Designer, m.Revision, m.License, m.Note}, DesignSHA256: m.SHA256,
		Params: b.params(), Printing: *NewPrinting(m, s, true), Findings: b.findings(fs),
	}
}

// WritePrintingJSON writes d as WriteJSON does.
func WritePrintingJSON(w io.Writer, d *PrintingDocument) error { return writeJSON(w, d) }
