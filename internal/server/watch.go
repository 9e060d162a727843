package server

import (
	"context"
	"os"
	"slices"
	"time"
)

// lookEvery is how often files are looked at. Looking, unlike waiting for the
// system to tell, also sees editors that write a new file and rename it, network
// folders and files that do not exist yet.
const lookEvery = 250 * time.Millisecond

// stamp is what tells a file from its earlier self.
type stamp struct {
	path string
	size int64
	time time.Time
}

func stampsOf(paths []string) []stamp {
	out := make([]stamp, len(paths))
	for i, p := range paths {
		out[i].path = p
		if st, err := os.Stat(p); err == nil {
			out[i].size, out[i].time = st.Size(), st.ModTime()
		}
	}
	return out
}

// watch tells the tabs when a design, or a file that it reads, changes.
func (s *Server) watch(ctx context.Context) {
	t := time.NewTicker(lookEvery)
	defer t.Stop()
	before := map[string][]stamp{}
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
		names, err := s.designs()
		if err != nil {
			continue
		}
		for _, n := range names {
			now := stampsOf(s.filesOf(n))
			was, known := before[n]
			before[n] = now
			if known && samePaths(was, now) && !slices.Equal(was, now) {
				s.changed(n)
			}
		}
	}
}

// samePaths: another list of files is no change of a file.
func samePaths(a, b []stamp) bool {
	return slices.EqualFunc(a, b, func(x, y stamp) bool { return x.path == y.path })
}

// changed tells of a design whose files changed.
func (s *Server) changed(name string) {
	s.seen.Add(1)
	sha := ""
	if b, err := s.read(name); err == nil {
		sha = digest(b)
	}
	s.hub.tell("", Event{Kind: "file", File: &FileSeen{Design: name, SHA256: sha}})
}

// filesOf lists what a design reads: itself, and what its last stage read.
func (s *Server) filesOf(name string) []string {
	list := append([]string{s.path(name)}, s.runs.sources(name)...)
	slices.Sort(list)
	return slices.Compact(list)
}

// sources are the files that a design at hand has read.
func (r *runs) sources(name string) []string {
	var out []string
	for _, st := range r.stages.all() {
		if st.view.Design == name {
			out = append(out, st.live.Mechanism.Sources...)
		}
	}
	return out
}
