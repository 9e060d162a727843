package pipeline

import (
	"math"
	"runtime"
	"time"

	"feint/internal/cache"
	"feint/internal/design"
	"feint/internal/export"
	"feint/internal/forces/load"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/printable"
	"feint/internal/printed"
	"feint/internal/verdict"
)

// DefaultGrowth is the growth range asked until a printer is known, mm.
var DefaultGrowth = [2]float64{-0.05, 0.05} //nolint:gochecknoglobals // a constant that Go cannot write as one

// Options are the settings of a run. The zero value asks for DefaultGrowth on
// all processors with no cache.
type Options struct {
	Set      []design.Setting
	Growth   [2]float64 // asked, loose to tight, mm; both 0 means DefaultGrowth
	Workers  int        // 0: as many as there are processors
	Cache    *cache.Store
	Hot      *Hot                                // parts kept in memory from run to run; may be nil
	Progress func(stage string, done, total int) // may be nil; may be called from any goroutine
	Now      func() time.Time                    // for the seconds by stage; nil leaves them out
	Version  string                              // of feint, for the document
	Print    *printable.Settings                 // of the printer; nil is the common one
	Printer  *printed.Model                      // on which the prints are made; nil: on any
	Flare    bool                                // Prove asks of parts with the flare of their first layers as a skin
	Copies   *YieldOptions                       // Prove also foretells how many copies will work; nil: it does not
	Try      bool                                // params are tried on every finding, by whole proofs, however long that takes
	TryOnly  []string                            // the rules on whose findings; nil: all

	// Asked is given the outcome of Prove as soon as it is certain whether it works at the
	// growths asked, has a shortcut there or binds, and the checker has had its say: before
	// it is known how far beyond them it binds or leaks. The verdict stays as it is, of one
	// that works the sentence too; of another the growth at which it binds or leaks, and the
	// way told, are still found more exactly. It is not called where the verdict is another,
	// where parts move by more than the hand, or where anything is left undecided. It must
	// not be kept. May be nil.
	Asked func(*Outcome)

	// Early is given the outcome of Prove as soon as the verdict stands and the checker
	// has had its say: without what handling, forces, the order of assembly and the
	// print add to the findings, and without copies. It must not be kept. May be nil;
	// what it is not given is then worked out beside the rest, which is over sooner.
	Early func(*Outcome)

	// Handling leaves out what only findings need that handling does not tell of: what is
	// pushed off its line, and params that are tried.
	Handling bool
	Shakes   []float64 // asked of handling beside those by convention, g

	uncured bool // no params are tried on findings
}

func (o *Options) print() printable.Settings {
	if o.Print != nil {
		return *o.Print
	}
	return printable.Default()
}

func (o *Options) workers() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

func (o *Options) progress(stage string, done, total int) {
	if o.Progress != nil {
		o.Progress(stage, done, total)
	}
}

// Outcome is a finished run.
type Outcome struct {
	Mechanism *mechanism.Mechanism
	Bodies    []Body
	Result    *motion.Result
	Hands     *hands.Result   // nil where the hand moves everything at will
	Handling  []hands.Row     // how it stands tilting, shaking, spinning and knocks; nil where it was not asked
	Assembly  *hands.Assembly // an order in which the parts go in; nil where it was not asked
	Verdict   *verdict.Verdict
	Document  *export.Document

	further *export.Further // once it was asked
	loose   float64         // at which handling was asked, mm

	named, even []hands.Attitude // what runs with load.Directions to the ground, and by even shares of the sphere
	box         *load.Box        // once it was asked
	leader      *leader          // of directed ways; nil where there are none
}

// stopwatch notes the seconds of each stage.
type stopwatch struct {
	now     func() time.Time
	last    time.Time
	seconds map[string]float64
}

func (s *stopwatch) lap(stage string) {
	if s.now == nil {
		return
	}
	t := s.now()
	s.seconds[stage] += t.Sub(s.last).Seconds()
	s.last = t
}

// Load reads a design. Errors name file, line, what is wrong and what to do.
func Load(path string, o Options) (*mechanism.Mechanism, error) {
	return design.Load(path, design.Options{Set: o.Set})
}

// judge gives the verdict.
func (out *Outcome) judge(ev *verdict.Evidence, watch *stopwatch) {
	out.Verdict = verdict.Judge(out.Mechanism, out.Result, *ev)
	watch.lap("verdict")
}

// write writes all down.
func (out *Outcome) write(ev *verdict.Evidence, watch *stopwatch, o Options) {
	m := out.Mechanism
	out.Document = export.NewDocument(m, out.Result, out.Verdict, export.Info{Version: o.Version, Seconds: watch.seconds, Growth: o.Growth})
	if o.Flare {
		s := o.print()
		out.Document.Flare = &s.Flare
	}
	out.Document.Printing = export.NewPrinting(m, ev.Printing, false)
	out.Document.Handled(m, out.Handling, out.Hands, out.Assembly, ev.Forces)
	out.Document.Attitudes(m, out.named, out.even)
	if out.Hands != nil {
		out.Document.Directed(m, out.Hands.Way)
		out.Document.DirectedSteps(m, out.Hands)
	}
}

// bounds is the box around all parts at the start.
func bounds(m *mechanism.Mechanism, bs []Body) geom.Box {
	b := geom.EmptyBox()
	for i := range bs {
		g := m.Pose(i, m.Start)
		for _, v := range bs[i].Mesh.V {
			if !math.IsNaN(v.X + v.Y + v.Z) {
				b = b.Add(g.Apply(v))
			}
		}
	}
	return b
}

// defects counts the harmful faults of every mesh by kind, the first with its place.
func defects(bs []Body) []verdict.Defect {
	var out []verdict.Defect
	for i := range bs {
		at := map[string]int{}
		for k := range bs[i].Defects {
			d := &bs[i].Defects[k]
			if d.Harmless {
				continue
			}
			kind := d.Kind.String()
			if n, ok := at[kind]; ok {
				out[n].Count++
				continue
			}
			at[kind] = len(out)
			out = append(out, verdict.Defect{Part: i, Kind: kind, At: d.At, Count: 1, Detail: d.String()})
		}
	}
	return out
}

// skip notes the pairs that could not be examined.
func skip(ev *verdict.Evidence, pairs [][2]int) {
	for _, s := range pairs {
		ev.Skipped = append(ev.Skipped, verdict.Skip{A: s[0], B: s[1], Why: "the mesh of one of them is broken"})
	}
}
