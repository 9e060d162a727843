package main

import (
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"feint/internal/export"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
	"golang.org/x/term"
)

// asTerminal gives the file behind w if it is a terminal.
func asTerminal(w io.Writer) (*os.File, bool) {
	f, ok := w.(*os.File)
	return f, ok && term.IsTerminal(int(f.Fd())) //nolint:gosec // a file descriptor is a small number
}

// styleOf tells how to write to w: colour and line drawing only on a terminal
// that takes them; NO_COLOR (no-color.org) and TERM=dumb are obeyed.
func styleOf(w io.Writer) export.Style {
	f, ok := asTerminal(w)
	if !ok {
		return export.Style{}
	}
	s := export.Style{
		Color:   os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb",
		Unicode: strings.Contains(strings.ToUpper(os.Getenv("LC_ALL")+os.Getenv("LC_CTYPE")+os.Getenv("LANG")), "UTF-8"),
	}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil { //nolint:gosec // as above
		s.Width = min(width, 100)
	}
	return s
}

// barsAfter is how long a run stays silent before it shows progress.
const barsAfter = time.Second

// bars shows one progress bar a stage, once a run takes over a second, and only
// on a terminal.
type bars struct {
	mu      sync.Mutex
	out     io.Writer // nil: silent
	since   time.Time
	p       *mpb.Progress
	stage   string
	current *mpb.Bar
}

func newBars(w io.Writer) *bars {
	b := &bars{since: time.Now()}
	if f, ok := asTerminal(w); ok && os.Getenv("TERM") != "dumb" {
		b.out = f
	}
	return b
}

// show is a pipeline progress function.
func (b *bars) show(stage string, done, total int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.out == nil || time.Since(b.since) < barsAfter {
		return
	}
	if b.p == nil {
		b.p = mpb.New(mpb.WithOutput(b.out), mpb.WithWidth(40))
	}
	if stage != b.stage {
		b.finish()
		b.stage = stage
		b.current = b.p.AddBar(int64(max(total, 1)),
			mpb.BarRemoveOnComplete(),
			mpb.PrependDecorators(decor.Name(stage, decor.WC{W: 34, C: decor.DindentRight})),
			mpb.AppendDecorators(decor.Elapsed(decor.ET_STYLE_GO)))
	}
	if total > 0 {
		b.current.SetTotal(int64(total), false)
		b.current.SetCurrent(int64(done))
	}
}

func (b *bars) finish() {
	if b.current != nil {
		b.current.Abort(true)
		b.current = nil
	}
}

// clear takes the bars off the screen; those of later stages may come after it.
func (b *bars) clear() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.finish()
	if b.p != nil {
		b.p.Wait()
	}
	b.p, b.stage = nil, ""
}

// close takes the bars off the screen for good.
func (b *bars) close() {
	b.clear()
	b.mu.Lock()
	defer b.mu.Unlock()
	b.out = nil
}
