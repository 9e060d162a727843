package server

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"feint/internal/logbook"
	"feint/internal/pipeline"
)

// Config is how a bench is started.
type Config struct {
	Folder  string           // the workshop: only what is in it is read and written
	Design  string           // the design to show, a file in Folder; may be empty
	Options pipeline.Options // of every proof; Cache must be there
	State   string           // folder for what outlives a start (sessions, port); "" keeps nothing
	Port    int              // 0: the one of the last start if it is free, else any
	Version string
	Fixed   bool // Options.Growth is asked whatever the printer

	Own   func(context.Context, *logbook.Book) bool  // whether a logbook is the user's; nil: it is
	Wrote func(context.Context, *logbook.Book) error // told of every logbook that is written into, which is the user's from then on; may be nil
}

// Server is a running bench.
type Server struct {
	cfg      Config
	root     *os.Root
	start    string // names this start
	secret   string
	sessions *sessions
	hub      *hub
	runs     *runs
	listener net.Listener
	handler  http.Handler
	page     page
	slots    chan struct{} // of questions of play, which are short
	deep     chan struct{} // of questions that may take long
	prints   chan struct{} // of foretelling prints, which takes longest
	saving   sync.Mutex    // one design is written at a time
	seen     atomic.Int64  // how often a file changed
}

// busy is how many questions of play are worked at once.
const busy = 2

// New opens the workshop and the port; nothing is served before Serve.
func New(cfg Config) (*Server, error) {
	if cfg.Options.Cache == nil {
		return nil, errors.New("the bench needs a cache")
	}
	cfg.Options.Hot = pipeline.NewHot(keepBodies)
	root, err := os.OpenRoot(cfg.Folder)
	if err != nil {
		return nil, fmt.Errorf("workshop folder: %w", err)
	}
	s := &Server{cfg: cfg, root: root, start: random(8), secret: random(32), slots: make(chan struct{}, busy), deep: make(chan struct{}, 1), prints: make(chan struct{}, 1)}
	s.hub = newHub()
	s.runs = newRuns(s)
	if s.page, err = openPage(); err != nil {
		return nil, errors.Join(err, root.Close())
	}
	st := openState(cfg.State, cfg.Folder)
	s.sessions = newSessions(st)
	if s.listener, err = listen(cfg.Port, st.Port); err != nil {
		return nil, errors.Join(err, root.Close())
	}
	st.Port = s.port()
	s.sessions.keep()
	s.handler = s.guard(s.mux())
	return s, nil
}

// listen opens a port on the loopback address, and on nothing else.
func listen(asked, last int) (net.Listener, error) {
	open := func(port int) (net.Listener, error) {
		return net.Listen("tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	}
	if asked > 0 {
		l, err := open(asked)
		if err != nil {
			return nil, fmt.Errorf("port %d: %w; choose another with --port, or leave it out", asked, err)
		}
		return l, nil
	}
	if last > 0 {
		if l, err := open(last); err == nil {
			return l, nil
		}
	}
	return open(0)
}

func (s *Server) port() int { return s.listener.Addr().(*net.TCPAddr).Port }

// Address is what a browser opens, with the secret in its fragment.
func (s *Server) Address() string { return s.Origin() + "/#key=" + s.secret }

// Origin is the address without the secret.
func (s *Server) Origin() string { return "http://127.0.0.1:" + strconv.Itoa(s.port()) }

// PageBuilt tells whether the page is in this program.
func (s *Server) PageBuilt() bool { return s.page.built }

// Serve answers until ctx ends.
func (s *Server) Serve(ctx context.Context) error {
	h := &http.Server{
		Handler: s.handler, ReadHeaderTimeout: 5 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	go s.watch(ctx)
	s.runs.atWork.Go(func() { s.runs.warm(s.runs.base) })
	done := make(chan error, 1)
	go func() { done <- h.Serve(s.listener) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	s.runs.end()
	s.hub.close()
	late, cancel := context.WithTimeout(context.WithoutCancel(ctx), 2*time.Second)
	defer cancel()
	if err := h.Shutdown(late); err != nil {
		_ = h.Close()
	}
	if err := <-done; err != nil && !errors.Is(err, http.ErrServerClosed) {
		_ = s.root.Close()
		return err
	}
	return s.root.Close()
}

// bench answers what the page asks first.
func (s *Server) bench(_ http.ResponseWriter, _ *http.Request) (any, error) {
	names, err := s.designs()
	if err != nil {
		return nil, err
	}
	b := Bench{Version: s.cfg.Version, Folder: filepath.Base(s.cfg.Folder), Designs: names}
	g := s.cfg.Options.Growth
	if g == [2]float64{} {
		g = pipeline.DefaultGrowth
	}
	b.Growth = Range{g[0], g[1]}
	_, b.Logbook = logbook.Find(s.cfg.Folder)
	s.settings(&b)
	b.Design = s.first(names)
	return b, nil
}

// first is the design to show first, "" if there is none.
func (s *Server) first(names []string) string {
	if s.cfg.Design == "" && len(names) > 0 {
		return names[0]
	}
	return s.cfg.Design
}
