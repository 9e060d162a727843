package export

import (
	"io"

	"feint/internal/yield"
)

// YieldVersion is the version of the document of `feint yield --json`.
const YieldVersion = 1

// YieldDocument is the answer of "feint yield" for scripts. Lengths mm.
type YieldDocument struct {
	Format        string        `json:"format"` // always "feint yield"
	FormatVersion int           `json:"format_version"`
	FeintVersion  string        `json:"feint_version"`
	Design        string        `json:"design"`
	DesignSHA256  string        `json:"design_sha256"`
	Setting       string        `json:"setting"`
	Source        string        `json:"source"`
	Seed          uint64        `json:"seed"`
	Prints        int           `json:"prints"`
	Directed      bool          `json:"directed"` // weight, contact, springs or tools move parts: each print is judged by itself
	Level         float64       `json:"level"`
	Works         yield.Share   `json:"works"`
	Binds         yield.Share   `json:"binds"`
	Leaks         yield.Share   `json:"leaks"`
	Undecided     int           `json:"undecided"`
	Loose         int           `json:"undecided_loose"` // of these: so loose that the engine looks at no such overlap
	PlayLeaks     yield.Share   `json:"play_leaks"`      // of the prints that work
	Surely        YieldSurely   `json:"whichever_face_decides"`
	Steps         []YieldStep   `json:"steps"`
	BindBy        []YieldCause  `json:"binds_by"`
	LeakBy        []YieldCause  `json:"leaks_by"`
	Corners       []YieldCorner `json:"corners"`
	Scales        YieldScales   `json:"scales"`
	Tries         []YieldTry    `json:"tries,omitempty"`
}

// YieldSurely are the shares that hold whichever face of each pair decides.
type YieldSurely struct {
	Works yield.Share `json:"works"`
	Binds yield.Share `json:"binds"`
	Leaks yield.Share `json:"leaks"`
}

// YieldStep tells in how many prints a step can be left out.
type YieldStep struct {
	Name      string      `json:"name"`
	Avoidable yield.Share `json:"avoidable"`
}

// YieldCause is a pair that cures prints.
type YieldCause struct {
	Parts      []string `json:"parts"` // empty where nothing that cures is known
	Alone      bool     `json:"alone"` // this pair's change alone cures
	Count      int      `json:"count"`
	MeanChange float64  `json:"mean_change_mm"`
	MostChange float64  `json:"most_change_mm"`
}

// YieldCorner is a corner of the model.
type YieldCorner struct {
	Name   string `json:"name"`
	Fate   string `json:"fate"`
	Surely string `json:"whichever_face_decides"`
}

// YieldScales is the range of print scales.
type YieldScales struct {
	Works bool    `json:"works"`
	Lo    float64 `json:"lo"`
	Hi    float64 `json:"hi"`
	Below string  `json:"below"`
	Above string  `json:"above"`
	EndLo bool    `json:"search_ended_lo"`
	EndHi bool    `json:"search_ended_hi"`
	Why   string  `json:"why"` // why no range is told, where none was looked for
}

// YieldTry is a tried change of a param.
type YieldTry struct {
	Param string      `json:"param"`
	From  float64     `json:"from"`
	To    float64     `json:"to"`
	Works yield.Share `json:"works"`
	Won   float64     `json:"won"`
	Why   string      `json:"why,omitempty"`
}

// WriteJSON writes the document, indented.
func (d *YieldDocument) WriteJSON(w io.Writer) error { return writeJSON(w, d) }

// ExpectedInfo tells what to expect of copies on a printer.
type ExpectedInfo struct {
	Setting  string         `json:"setting"`
	Sentence string         `json:"sentence"` // of 100 copies so many work; or why that is not foretold
	Yield    *YieldDocument `json:"yield"`    // null where it is not foretold
}
