package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"feint/internal/pipeline"
)

// lookEvery is how often watched files are looked at. Looking, unlike waiting
// for the system to tell, also sees editors that write a new file and rename it,
// network folders and files that do not exist yet.
const lookEvery = 250 * time.Millisecond

// watch proves, then proves again whenever a file that the design reads changes,
// until the context ends.
func watch(ctx context.Context, s streams, path string, f *proveFlags, o pipeline.Options) error {
	for {
		before := stamps(sources(path, o))
		err := proveOnce(ctx, s, path, f, o)
		var status statusError
		switch {
		case errors.Is(err, context.Canceled):
			return nil
		case err != nil && !errors.As(err, &status):
			fmt.Fprintf(s.err, "feint: %v\n", err)
		}
		fmt.Fprintf(s.err, "\nwatching %s; Ctrl-C ends\n", path)
		if !waitForChange(ctx, path, o, before) {
			return nil
		}
	}
}

// sources lists the files that a design reads; a design with mistakes is at
// least its own file.
func sources(path string, o pipeline.Options) []string {
	own, err := filepath.Abs(path)
	if err != nil {
		own = path
	}
	list := []string{own}
	if m, err := pipeline.Load(path, o); err == nil {
		list = append(list, m.Sources...)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// stamp is what tells a file from its earlier self.
type stamp struct {
	path string
	size int64
	time time.Time
}

func stamps(paths []string) []stamp {
	out := make([]stamp, len(paths))
	for i, p := range paths {
		out[i].path = p
		if st, err := os.Stat(p); err == nil {
			out[i].size, out[i].time = st.Size(), st.ModTime()
		}
	}
	return out
}

// waitForChange returns true once a stamp differs from before, false when ctx ends.
func waitForChange(ctx context.Context, path string, o pipeline.Options, before []stamp) bool {
	paths := make([]string, len(before))
	for i := range before {
		paths[i] = before[i].path
	}
	if len(paths) == 1 {
		paths = sources(path, o)
	}
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return false
		case <-tick.C:
			if now := stamps(paths); !slices.Equal(now, before) {
				return true
			}
		}
	}
}
