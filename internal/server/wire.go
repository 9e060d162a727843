package server

import (
	"feint/internal/export"
	"feint/internal/printed"
)

// The values that go over the wire. Lengths mm, angles degrees.

// Key is what a browser enters with.
type Key struct {
	Key string `json:"key"`
}

// Bench is what the page asks first.
type Bench struct {
	Version string   `json:"version"`
	Folder  string   `json:"folder"`  // the name of the workshop folder
	Designs []string `json:"designs"` // the design files in it, sorted
	Design  string   `json:"design"`  // the one to show, "" if there is none
	Growth  Range    `json:"growth"`  // asked unless the page asks otherwise
	Logbook bool     `json:"logbook"` // whether trials can be kept

	Printers  []string         `json:"printers"`  // the settings of printers.toml, by name
	Settings  []PrinterSetting `json:"settings"`  // the same, with what is known of each
	Preferred string           `json:"preferred"` // the one that the workshop prefers, "" for none
	Fixed     bool             `json:"fixed"`     // the growth was given to the program: it is asked whatever the printer
}

// PrinterSetting is a setting of printers.toml that a verdict may be for.
type PrinterSetting struct {
	Name   string `json:"name"`
	With   string `json:"with"`   // printer, nozzle, spool, profile
	Growth Range  `json:"growth"` // in which 19 of 20 of its prints lie, widened to hold the drawing
}

// Preference says which setting the workshop prefers.
type Preference struct {
	Name string `json:"name"` // "" for none
}

// Range is a range of growth, mm a surface.
type Range struct {
	Lo float64 `json:"lo_mm"`
	Hi float64 `json:"hi_mm"`
}

// ParamValue gives a param a value.
type ParamValue struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// ProofAsked asks for a proof.
type ProofAsked struct {
	Tab    string       `json:"tab"` // of the browser; a later question of the same tab ends the earlier one
	Design string       `json:"design"`
	Set    []ParamValue `json:"set"`
	Growth Range        `json:"growth"` // where no printer says otherwise

	On string `json:"on"` // the printer's setting that the verdict is for; "" is the one that the workshop prefers, "none" none

	Drawing bool `json:"drawing"` // the page has no picture yet: the work that its first one does not need waits for it, though not for long

	model *printed.Model // what On means; nil for none
	sha   string         // of the files as they are now
}

// Started names a proof under way.
type Started struct {
	Proof string `json:"proof"`
}

// Event is one message of the stream of events. Kind says which fields count.
type Event struct {
	Kind    string    `json:"kind"`              // hello, stage, progress, proved, pictures, failed, stopped, file, logbook, printers, designs, yield
	Proof   string    `json:"proof,omitempty"`   // of stage, progress, proved, pictures, failed, stopped, yield
	Stage   *Stage    `json:"stage,omitempty"`   // of stage
	Result  *Proof    `json:"result,omitempty"`  // of proved, which comes as soon as it is certain that it works at the growths asked (asked), once it is known where it binds and leaks (partial), and once all is worked out
	Step    string    `json:"step,omitempty"`    // of progress and yield: what is being done
	Done    int       `json:"done,omitempty"`    // of progress
	Total   int       `json:"total,omitempty"`   // of progress; 0 if not known
	Trouble *Trouble  `json:"trouble,omitempty"` // of failed
	File    *FileSeen `json:"file,omitempty"`    // of file
	Start   string    `json:"start,omitempty"`   // of hello: names this start of the server
}

// FileSeen tells that a design changed on the disk.
type FileSeen struct {
	Design string `json:"design"`
	SHA256 string `json:"sha256"` // of its text; "" if it is gone
	Others bool   `json:"others"` // another file that it reads changed
}

// Trouble is an answer other than the one asked for.
type Trouble struct {
	Code     string    `json:"code"`     // bad, gone, newer, there, refused, large, stopped, fault
	Message  string    `json:"message"`  // what is wrong and what to do
	Problems []Problem `json:"problems"` // of a design, by line
	Text     string    `json:"text,omitempty"`
	SHA256   string    `json:"sha256,omitempty"` // of newer: what the file holds now
}

// Problem is one mistake in a design.
type Problem struct {
	File    string `json:"file"` // "" where it is about a setting
	Line    int    `json:"line"` // from 1, 0 if not known
	Col     int    `json:"col"`
	Message string `json:"message"`
	Advice  string `json:"advice"`
}

// Stage is a design with its parts built.
type Stage struct {
	ID       string         `json:"id"`
	Design   string         `json:"design"`
	Title    string         `json:"title"`
	Note     string         `json:"note"`
	Revision string         `json:"revision"`
	SHA256   string         `json:"sha256"` // of the design, what it loads and the params set
	Params   []Param        `json:"params"`
	Parts    []Part         `json:"parts"`
	Travels  []Travel       `json:"travels"`
	Start    []float64      `json:"start"` // a value a travel
	Goal     string         `json:"goal"`
	GoalAt   []Bound        `json:"goal_at"`
	Directed bool           `json:"directed"` // some parts fall, are pushed or spring: the program tells where they go
	Ups      []Attitude     `json:"ups"`      // the ways the box may be held, that of the start first
	Tools    []Tool         `json:"tools"`
	Box      [2][3]float64  `json:"box_mm"`  // around all parts at the start
	Opening  export.Opening `json:"opening"` // how it is cut open at first, as in the storyboard
	Grams    float64        `json:"grams"`
}

// Param is a number of the design with its range.
type Param struct {
	Name    string   `json:"name"`
	Value   float64  `json:"value"`
	Default float64  `json:"default"`
	Min     *float64 `json:"min"`
	Max     *float64 `json:"max"`
	Unit    string   `json:"unit"`
	Note    string   `json:"note"`
	Whole   bool     `json:"whole"`
	Line    int      `json:"line"`
}

// Part is one part as the page draws it.
type Part struct {
	Name    string  `json:"name"`
	Frame   bool    `json:"frame"`
	Carrier int     `json:"carrier"` // index, -1 for the frame
	Travels []int   `json:"travels"`
	Color   string  `json:"color"`
	Mesh    string  `json:"mesh"` // under /api/meshes/
	Sound   bool    `json:"sound"`
	Grams   float64 `json:"grams"`
	Hidden  bool    `json:"hidden"`
}

// Travel is one travel with what is needed to draw it.
type Travel struct {
	Name     string     `json:"name"`
	Part     int        `json:"part"`
	Kind     string     `json:"kind"` // slide, turn, helix
	Unit     string     `json:"unit"` // mm, deg
	Point    [3]float64 `json:"point_mm"`
	Dir      [3]float64 `json:"dir"`
	Lead     float64    `json:"lead_mm"`
	Lo       float64    `json:"lo"`
	Hi       float64    `json:"hi"`
	Full     bool       `json:"full_turn"`
	Forward  string     `json:"forward"` // in words
	Backward string     `json:"backward"`
	Moved    string     `json:"moved"` // hand, contact, gravity
	Springs  bool       `json:"springs"`
}

// Bound is one condition of the goal.
type Bound struct {
	Travel int      `json:"travel"`
	Lo     *float64 `json:"lo"`
	Hi     *float64 `json:"hi"`
}

// Proof is a proof whose verdict stands.
type Proof struct {
	ID       string          `json:"id"`
	Stage    string          `json:"stage"`
	Document export.Document `json:"document"`
	Steps    *export.Figure  `json:"steps"` // the steps with their margins, as a table
	Way      []Shown         `json:"way"`   // the meant way, to be played
	From     Pose            `json:"from"`  // where it begins
	Grams    float64         `json:"grams"`
	On       string          `json:"on"`      // the printer's setting that the verdict is for, "" for none
	Kept     bool            `json:"kept"`    // from an earlier run on the same input
	Partial  bool            `json:"partial"` // the verdict and what leads to it; what handling, forces and the print add is still being worked out
	Asked    bool            `json:"asked"`   // partial, and of the growths asked alone: how far beyond them that holds is still being worked out
}

// Compared sets two proofs side by side.
type Compared struct {
	Before string        `json:"before"` // what the earlier one was of
	After  string        `json:"after"`
	Rows   []ComparedRow `json:"rows"`
}

// ComparedRow is one quantity before and after, in words.
type ComparedRow struct {
	Name   string `json:"name"`
	Before string `json:"before"`
	After  string `json:"after"`
	Change string `json:"change"` // "" where nothing changed
}

// Two names two proofs.
type Two struct {
	Before string `json:"before"`
	After  string `json:"after"`
	On     string `json:"on"` // the printer whose yields are compared, where they are known
}

// YieldAsked asks how many prints of a proved design will work.
type YieldAsked struct {
	Tab   string `json:"tab"` // hears of the progress
	Proof string `json:"proof"`
	On    string `json:"on"` // the setting of printers.toml; "" is the unknown printer
}

// Yield is what is foretold of the prints.
type Yield struct {
	On     string        `json:"on"`
	Works  float64       `json:"works"` // share of the prints, 0 to 1, with the ends of its interval
	Lo     float64       `json:"lo"`
	Hi     float64       `json:"hi"`
	Figure export.Figure `json:"figure"`
}

// Text is a design file.
type Text struct {
	Design string `json:"design"`
	Text   string `json:"text"`
	SHA256 string `json:"sha256"`
}

// Save writes a design file.
type Save struct {
	Text   string `json:"text"`
	SHA256 string `json:"sha256"` // of the text that was read before; another one in the file is not overwritten
}

// Checked is what is wrong with a text.
type Checked struct {
	Problems []Problem `json:"problems"`
}

// NewDesign names a design that is to be begun, without the end of its file's name.
type NewDesign struct {
	Name string `json:"name"`
}

// TextOnly is a text that is not saved yet.
type TextOnly struct {
	Text string `json:"text"`
}

// SetInText asks for a text with other defaults of its params.
type SetInText struct {
	Text string       `json:"text"`
	Set  []ParamValue `json:"set"`
}

// None is an empty answer.
type None struct{}
