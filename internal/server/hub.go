package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"sync"
	"time"
)

// hub hands events to the tabs that listen.
type hub struct {
	mu     sync.Mutex
	closed bool
	tabs   map[string]map[*listener]bool
	away   func(tab string) // the last listener of a tab has gone
}

// listener is one open stream. Its channel is closed when the hub lets it go.
type listener struct{ ch chan Event }

func newHub() *hub { return &hub{tabs: map[string]map[*listener]bool{}} }

// queued is how many events a slow browser may be behind before its stream is
// cut; it then connects anew and asks for what it missed.
const queued = 256

func (h *hub) join(tab string) *listener {
	h.mu.Lock()
	defer h.mu.Unlock()
	l := &listener{ch: make(chan Event, queued)}
	if h.closed {
		close(l.ch)
		return l
	}
	if h.tabs[tab] == nil {
		h.tabs[tab] = map[*listener]bool{}
	}
	h.tabs[tab][l] = true
	return l
}

func (h *hub) leave(tab string, l *listener) {
	h.mu.Lock()
	h.drop(tab, l)
	last := len(h.tabs[tab]) == 0
	if last {
		delete(h.tabs, tab)
	}
	away := h.away
	h.mu.Unlock()
	if last && away != nil {
		away(tab)
	}
}

func (h *hub) drop(tab string, l *listener) {
	if h.tabs[tab][l] {
		delete(h.tabs[tab], l)
		close(l.ch)
	}
}

// listens tells whether a tab has an open stream.
func (h *hub) listens(tab string) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.tabs[tab]) > 0
}

// tell sends an event to one tab, or to all for "".
func (h *hub) tell(tab string, e Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for name, ls := range h.tabs {
		if tab != "" && tab != name {
			continue
		}
		for l := range ls {
			select {
			case l.ch <- e:
			default:
				h.drop(name, l)
			}
		}
	}
}

func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for name, ls := range h.tabs {
		for l := range ls {
			h.drop(name, l)
		}
	}
}

// beat is how often a silent stream is kept alive.
const beat = 15 * time.Second

func tabName(s string) (string, error) {
	if !regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`).MatchString(s) {
		return "", bad("Name the tab with up to 64 letters and digits.")
	}
	return s, nil
}

// events streams what happens until the browser goes.
func (s *Server) events(w http.ResponseWriter, r *http.Request) (any, error) {
	tab, err := tabName(r.URL.Query().Get("tab"))
	if err != nil {
		return nil, err
	}
	l := s.hub.join(tab)
	defer s.hub.leave(tab, l)
	c := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.WriteHeader(http.StatusOK)
	if send(w, c, Event{Kind: "hello", Start: s.start}) != nil {
		return nil, nil //nolint:nilerr // the browser has gone; nobody is left to tell
	}
	t := time.NewTicker(beat)
	defer t.Stop()
	for {
		var err error
		select {
		case e, ok := <-l.ch:
			if !ok {
				return nil, nil
			}
			err = send(w, c, e)
		case <-t.C:
			if _, err = fmt.Fprint(w, ": still here\n\n"); err == nil {
				err = c.Flush()
			}
		case <-r.Context().Done():
			return nil, nil
		}
		if err != nil {
			return nil, nil //nolint:nilerr // as above
		}
	}
}

func send(w http.ResponseWriter, c *http.ResponseController, e Event) error {
	raw, err := json.Marshal(e)
	if err != nil {
		raw, _ = json.Marshal(Event{Kind: "failed", Proof: e.Proof, Trouble: &Trouble{Code: "fault", Message: "The answer could not be written down: " + err.Error(), Problems: []Problem{}}})
	}
	if _, err := fmt.Fprintf(w, "data: %s\n\n", raw); err != nil {
		return err
	}
	return c.Flush()
}
