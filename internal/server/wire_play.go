package server

// Spot is a situation with a part of it.
type Spot struct {
	Stage  string    `json:"stage"`
	Config []float64 `json:"config"`
	Up     int       `json:"up,omitempty"`    // of the stage's ups
	Tools  []int     `json:"tools,omitempty"` // by tool its seat; none: each in its first
	Part   int       `json:"part"`
	Growth float64   `json:"growth_mm"`
}

// Attitude is a way the box may be held.
type Attitude struct {
	Up    [3]float64 `json:"up"` // the direction of the drawing that is up
	Words string     `json:"words"`
	Near  []int      `json:"near"` // those to which one turn leads
}

// Tool is a thing that comes out of the box and goes in elsewhere.
type Tool struct {
	Name  string `json:"name"`
	Seats []int  `json:"seats"` // by seat the part that it is there
}

// Rooms tells how far each travel of a part can go.
type Rooms struct {
	Part  int    `json:"part"`
	Rooms []Room `json:"rooms"`
}

// Room is how far one travel can go both ways.
type Room struct {
	Travel int    `json:"travel"`
	Lo     Halt   `json:"lo"`
	Hi     Halt   `json:"hi"`
	Turns  bool   `json:"turns"` // nothing stops a full turn
	Words  string `json:"words"`
}

// Halt is what ends a stroke.
type Halt struct {
	At    float64 `json:"at"`
	Cause string  `json:"cause"` // part, limit, open (not worked out further)
	By    int     `json:"by"`    // the part that it meets, -1
	Words string  `json:"words"`
}

// Pull draws a part towards values of its travels.
type Pull struct {
	Stage  string    `json:"stage"`
	Config []float64 `json:"config"`
	Up     int       `json:"up,omitempty"`
	Tools  []int     `json:"tools,omitempty"`
	Growth float64   `json:"growth_mm"`
	Want   []Want    `json:"want"`
	Hold   bool      `json:"hold,omitempty"` // the hand does not let go at the end
}

// Want is a value wanted of a travel.
type Want struct {
	Travel int     `json:"travel"`
	Value  float64 `json:"value"`
}

// Turned turns the box.
type Turned struct {
	Spot
	To int `json:"to"` // of the stage's ups
}

// Taken takes a tool out and puts it in elsewhere.
type Taken struct {
	Spot
	Tool int `json:"tool"`
	Seat int `json:"seat"`
}

// Pulled is what came of something done to the box.
type Pulled struct {
	Config   []float64 `json:"config"`
	Up       int       `json:"up"`
	Tools    []int     `json:"tools"`
	Frames   []Pose    `json:"frames"` // what to show on the way there, the last being there
	Runs     []Run     `json:"runs"`
	Halts    []Halt    `json:"halts"`    // one a want
	Effects  []Effect  `json:"effects"`  // what the hand did not move itself
	Released bool      `json:"released"` // something moved when the hand let go: another stroke is another move
	Goal     bool      `json:"goal"`     // whether the goal is met there
	Words    string    `json:"words"`    // what stopped it, "" if nothing did
}

// Effect is one travel that the hand did not move itself.
type Effect struct {
	Part  int    `json:"part"`
	How   string `json:"how"`   // is pushed, falls, springs
	Words string `json:"words"` // the whole of it
}

// Pose is a situation to be shown; from one to the next all moves evenly.
type Pose struct {
	Config []float64 `json:"config"`
	Up     int       `json:"up"`
	Tools  []int     `json:"tools"`
	Words  string    `json:"words"` // what happens on the way to it
}

// Run is one straight run of one travel.
type Run struct {
	Travel int     `json:"travel"`
	From   float64 `json:"from"`
	To     float64 `json:"to"`
}

// Near is the clearance of a part to the nearest other.
type Near struct {
	Other     int     `json:"other"` // -1 if there is none
	Clearance float64 `json:"clearance_mm"`
	Words     string  `json:"words"`
}

// Shown is one move of a way as it can be played.
type Shown struct {
	Kind   string   `json:"kind"` // hand, turn, take
	Part   int      `json:"part"` // -1 where the box is turned
	Words  []string `json:"words"`
	Frames []Pose   `json:"frames"`
}

// Onward is the way to the goal from a situation.
type Onward struct {
	Opens string  `json:"opens"` // yes, no, undecided
	There bool    `json:"there"` // the goal is met already
	Way   []Shown `json:"way"`
	Least int     `json:"least"` // no way has fewer moves; 0 if that is not known
	Words string  `json:"words"`
}
