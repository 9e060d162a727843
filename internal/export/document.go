package export

// DocumentVersion is the version of the JSON document. It rises when a field
// changes its meaning or goes; new fields alone do not raise it.
const DocumentVersion = 1

// Document is the contract of `feint prove --json`: lengths mm, angles degrees.
// Null is "none" or "not known", as each field says.
type Document struct {
	Format        string         `json:"format"` // always "feint proof"
	FormatVersion int            `json:"format_version"`
	FeintVersion  string         `json:"feint_version"`
	Design        DesignInfo     `json:"design"`
	DesignSHA256  string         `json:"design_sha256"`
	Params        []ParamInfo    `json:"params"`
	Parts         []PartInfo     `json:"parts"`
	Growth        GrowthRange    `json:"growth_asked"`
	Flare         *float64       `json:"flare_mm"` // a side, of the first layers, put on the parts as a skin; null where they are as drawn
	Verdict       string         `json:"verdict"`
	Certified     bool           `json:"certified"`
	ExitStatus    int            `json:"exit_status"`
	Sentence      string         `json:"sentence"`
	Doubts        []string       `json:"doubts"`
	Goal          string         `json:"goal"`
	Moves         *int           `json:"moves"`       // of the way as drawn; null if none was found
	MovesLeast    *int           `json:"moves_least"` // no way has fewer; null if no way was found
	Strokes       *int           `json:"strokes"`
	Start         []Setting      `json:"start"`
	Solution      []MoveInfo     `json:"solution"` // of the way as drawn; empty if none was found
	Openings      []OpeningInfo  `json:"openings"`
	Steps         []StepInfo     `json:"steps"`
	Unnamed       []UnnamedInfo  `json:"unnamed_steps"`
	Idle          []string       `json:"idle_parts"`
	Fit           FitInfo        `json:"fit"`
	Play          []PlayInfo     `json:"play"`
	Reset         ResetInfo      `json:"reset"`
	Space         SpaceInfo      `json:"space"`
	Checks        []CheckInfo    `json:"checks"`
	Findings      []FindingInfo  `json:"findings"`
	Handling      *HandlingInfo  `json:"handling"`           // null where it was not asked
	Printing      *PrintingInfo  `json:"printing"`           // null where it was not asked
	Expected      *ExpectedInfo  `json:"expected"`           // of copies on a printer; null where none was named
	Standing      []StandingInfo `json:"standing,omitempty"` // the standing checks of the logbook; left out where there is none

	Seconds map[string]float64 `json:"seconds"` // by stage; the one field that differs from run to run
}

// DesignInfo is what the design says of itself.
type DesignInfo struct {
	Name     string `json:"name"`
	Title    string `json:"title"`
	Designer string `json:"designer"`
	Revision string `json:"revision"`
	License  string `json:"license"`
	Note     string `json:"note"`
}

// ParamInfo is one param with the value that was proved.
type ParamInfo struct {
	Name    string   `json:"name"`
	Value   float64  `json:"value"`
	Default float64  `json:"default"`
	Min     *float64 `json:"min"` // null where open
	Max     *float64 `json:"max"`
	Unit    string   `json:"unit"`
	Note    string   `json:"note"`
}

// PartInfo is one part and its travels.
type PartInfo struct {
	Name    string       `json:"name"`
	Frame   bool         `json:"frame"`
	Carrier *string      `json:"carrier"` // null for the frame
	Travels []TravelInfo `json:"travels"`
}

// TravelInfo is one travel.
type TravelInfo struct {
	Name string   `json:"name"`
	Kind string   `json:"kind"` // slide, turn, helix
	Unit string   `json:"unit"` // mm, deg
	Lo   *float64 `json:"lo"`   // null where open
	Hi   *float64 `json:"hi"`
	Full bool     `json:"full_turn"`
}

// GrowthRange is the range of growth asked.
type GrowthRange struct {
	Lo float64 `json:"lo_mm"`
	Hi float64 `json:"hi_mm"`
}

// Setting is the value of one travel.
type Setting struct {
	Part   string  `json:"part"`
	Travel string  `json:"travel"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
}

// MoveInfo is one move. A move along one travel has Travel, From and To; one
// along two has Travels, with From and To in the same order.
type MoveInfo struct {
	Part      string       `json:"part"`
	Travel    *string      `json:"travel,omitempty"`
	Travels   []string     `json:"travels,omitempty"`
	From      any          `json:"from"` // number, or one number a travel
	To        any          `json:"to"`
	Strokes   []StrokeInfo `json:"strokes"`
	Clearance *float64     `json:"clearance_mm"` // certified lower bound along the move
	Against   *string      `json:"against"`      // the part it is least clear of
	Words     []string     `json:"words"`        // what to do, one line a stroke
}

// StrokeInfo is one straight run of one travel. On a full turn To may lie
// beyond the range: the sign of To - From is the way round.
type StrokeInfo struct {
	Part   *string `json:"part,omitempty"` // if it is not the part of the move: pushed, fallen or sprung
	Travel string  `json:"travel"`
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Unit   string  `json:"unit"`
	Mark   *string `json:"mark"` // the mark it ends at, if any
}

// OpeningInfo is the answer to "does it open" at one growth.
type OpeningInfo struct {
	At     string  `json:"at"` // loose, drawn, tight
	Growth float64 `json:"growth_mm"`
	Opens  string  `json:"opens"` // yes, no, undecided
	Moves  *int    `json:"moves"` // of the way found, null if none
}

// LimitInfo is a growth known to lie from Lo to Hi; null where a side has no
// limit within the growths searched.
type LimitInfo struct {
	Lo *float64 `json:"lo_mm"`
	Hi *float64 `json:"hi_mm"`
}

// StepInfo is what was found of one step.
type StepInfo struct {
	Name        string        `json:"name"`
	Unavoidable *bool         `json:"unavoidable"`      // as drawn; null is undecided
	Bypass      *float64      `json:"bypass_growth_mm"` // at this growth and below it can be left out; null if nowhere searched
	BypassPlay  *float64      `json:"bypass_growth_with_play_mm"`
	BypassLimit *LimitInfo    `json:"bypass"`
	Holds       *float64      `json:"holds_down_to_mm"` // no way leaves it out at this growth or above; null if at none
	Shortcut    *ShortcutInfo `json:"shortcut"`
}

// ShortcutInfo is a way that leaves out a step.
type ShortcutInfo struct {
	Growth   float64    `json:"growth_mm"`
	Moves    int        `json:"moves"`
	Strokes  int        `json:"strokes"`
	Solution []MoveInfo `json:"solution"`
}

// UnnamedInfo is a value that every way reaches although no step says so.
type UnnamedInfo struct {
	Setting
	OrMore bool `json:"or_more"` // else: or less
}

// FitInfo is the fit window.
type FitInfo struct {
	Leak        *float64      `json:"leak_growth_mm"` // null if no step can be left out at any growth searched
	Bind        *float64      `json:"bind_growth_mm"` // null if outside the growths searched
	Uncertainty *float64      `json:"uncertainty_mm"` // half the wider of the two brackets; null if there is none
	LeakPlay    *float64      `json:"leak_growth_with_play_mm"`
	LeakLimit   *LimitInfo    `json:"leak"`
	BindLimit   *LimitInfo    `json:"bind"`
	PlayLimit   *LimitInfo    `json:"leak_with_play"`
	Holds       *float64      `json:"holds_down_to_mm"` // no step can be left out at this growth or above; null if at none
	Confirmed   *bool         `json:"confirmed"`        // whether a second method confirms these limits, from both sides where both are known; null where it was not asked
	Tightest    *TightestInfo `json:"tightest"`         // null if no way was found
}

// TightestInfo is where the way has least room, as drawn.
type TightestInfo struct {
	Parts     []string  `json:"parts"`
	At        []Setting `json:"at"`
	Clearance float64   `json:"clearance_mm"` // a lower bound
}

// PlayInfo is the play of one guide; open is what went as far as was tried and met
// nothing.
type PlayInfo struct {
	Part     string  `json:"part"`
	Side     float64 `json:"side_mm"`
	Tip      float64 `json:"tip_deg"`
	Turn     float64 `json:"turn_deg"`
	SideOpen bool    `json:"side_open"`
	TipOpen  bool    `json:"tip_open"`
	TurnOpen bool    `json:"turn_open"`
}

// ResetInfo tells whether the box can be put back.
type ResetInfo struct {
	Possible string `json:"possible"` // yes, no, undecided
	Moves    *int   `json:"moves"`
}

// SpaceInfo counts configurations.
type SpaceInfo struct {
	Travels        int     `json:"travels"`
	Configurations float64 `json:"configurations"`
	Free           float64 `json:"free"`
	FreeUpper      float64 `json:"free_upper"`
	Reachable      float64 `json:"reachable"`
	ReachableUpper float64 `json:"reachable_upper"`
	Resolution     string  `json:"resolution"`
	Nodes          int     `json:"nodes"`
}

// CheckInfo is one thing that the checker looked at.
type CheckInfo struct {
	Name   string `json:"name"`
	Agreed bool   `json:"agreed"`
	Detail string `json:"detail"`
}

// FindingInfo is one finding.
type FindingInfo struct {
	Rule     string      `json:"rule"`
	Severity string      `json:"severity"` // fault, warning, note
	About    string      `json:"about"`    // box: how it works; print: how its parts print
	Where    WhereInfo   `json:"where"`
	Message  string      `json:"message"`
	Margin   *MarginInfo `json:"margin"` // null where there is no limit to measure from
	Change   string      `json:"change"`
	Cures    []CureInfo  `json:"cures"`          // params by which it goes, the smallest change first
	Tried    bool        `json:"cures_tried"`    // every param was tried over its range
	Untried  bool        `json:"cures_need_try"` // whether it takes more than is tried by default to tell whether a param cures it
}

// CureInfo is a value of a param at which a finding is gone, in the param's unit.
type CureInfo struct {
	Param  string  `json:"param"`
	Unit   string  `json:"unit"`
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Stays  float64 `json:"stays"`  // the tried value nearest to that at which the finding stays
	Proved bool    `json:"proved"` // the whole proof was run with it and found nothing worse
}

// WhereInfo is what a finding is about.
type WhereInfo struct {
	Parts  []string    `json:"parts"`
	Step   *string     `json:"step"`
	At     *[3]float64 `json:"at_mm"`
	Set    []Setting   `json:"configuration"`
	Params []string    `json:"params"` // that the change proposed names
}

// MarginInfo is the distance from a limit, negative beyond it.
type MarginInfo struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// StandingInfo is what a standing check of the logbook says of this design.
type StandingInfo struct {
	Check  int      `json:"check"` // its number in the logbook
	Rule   string   `json:"rule"`  // a rule, or the quantity that it bounds
	Parts  []string `json:"parts"`
	Wanted string   `json:"wanted"`
	Answer string   `json:"answer"` // holds, returns, untold
	Why    string   `json:"why"`
	Fault  string   `json:"fault"` // what it came of, in words; empty if of none
}
