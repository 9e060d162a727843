package server

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"time"

	"feint/internal/printed"
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
	var list []string
	var printers []stamp
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
		if list != nil && !slices.Equal(list, names) {
			s.hub.tell("", Event{Kind: "designs"})
		}
		list = names
		if now := stampsOf(printerFiles(s.cfg.Folder)); !slices.Equal(now, printers) {
			if printers != nil {
				s.hub.tell("", Event{Kind: "printers"})
			}
			printers = now
		}
		for _, n := range names {
			now := stampsOf(s.filesOf(n))
			was, known := before[n]
			before[n] = now
			if known && samePaths(was, now) && !slices.Equal(was, now) {
				s.changed(n, s.others(n, was, now))
			}
		}
	}
}

// samePaths: another list of files is no change of a file.
func samePaths(a, b []stamp) bool {
	return slices.EqualFunc(a, b, func(x, y stamp) bool { return x.path == y.path })
}

// others tells whether a file other than the design's own changed.
func (s *Server) others(name string, was, now []stamp) bool {
	for i := range now {
		if now[i].path != s.path(name) && now[i] != was[i] {
			return true
		}
	}
	return false
}

// changed tells of a design whose files changed.
func (s *Server) changed(name string, others bool) {
	s.seen.Add(1)
	sha := ""
	if b, err := s.read(name); err == nil {
		sha = digest(b)
	}
	s.hub.tell("", Event{Kind: "file", File: &FileSeen{Design: name, SHA256: sha, Others: others}})
}

// printerFiles are where the settings of the workshop may stand: in its folder and in
// those above.
func printerFiles(dir string) []string {
	var out []string
	for {
		out = append(out, filepath.Join(dir, printed.FileName))
		up := filepath.Dir(dir)
		if up == dir {
			return out
		}
		dir = up
	}
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
	for _, st := range r.stages.All() {
		if st.view.Design == name {
			out = append(out, st.live.Mechanism.Sources...)
		}
	}
	return out
}
