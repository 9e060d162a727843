package server

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"feint/internal/design"
)

// failure is an error with the status and the words of its answer.
type failure struct {
	status  int
	trouble Trouble
}

func (f *failure) Error() string { return f.trouble.Message }

func bad(format string, args ...any) error {
	return &failure{http.StatusBadRequest, Trouble{Code: "bad", Message: fmt.Sprintf(format, args...)}}
}

func gone(what string) error {
	return &failure{http.StatusNotFound, Trouble{Code: "gone", Message: what}}
}

// contentPolicy lets the page load itself and nothing else. Styles of the text
// editor are set by script under the nonce of each load; pictures of the
// storyboard are data within the page.
func contentPolicy(nonce string) string {
	return strings.Join([]string{
		"default-src 'none'", "script-src 'self'", "style-src 'self' 'nonce-" + nonce + "'", "img-src 'self' data: blob:",
		"connect-src 'self'", "font-src 'self'", "base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'", "object-src 'none'",
	}, "; ")
}

// guard turns away what does not come from the page of this bench.
func (s *Server) guard(next http.Handler) http.Handler {
	host := s.listener.Addr().String()
	local := "localhost:" + strconv.Itoa(s.port())
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy(random(16)))
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		h.Set("Cache-Control", "no-store")
		if r.Host != host && r.Host != local {
			// another name that resolves to this machine: rebinding
			answer(w, &failure{http.StatusMisdirectedRequest, Trouble{Code: "refused", Message: "The bench answers only at " + s.Origin() + "."}})
			return
		}
		if err := sameOrigin(r); err != nil {
			answer(w, err)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// sameOrigin refuses requests of other pages: those with a foreign Origin, those
// that a browser marks as foreign, and those that change something without saying
// where they come from.
func sameOrigin(r *http.Request) error {
	foreign := &failure{http.StatusForbidden, Trouble{Code: "refused", Message: "Only the page of this bench may ask that."}}
	if o := r.Header.Get("Origin"); o != "" && o != "http://"+r.Host {
		return foreign
	} else if o == "" && r.Method != http.MethodGet && r.Method != http.MethodHead {
		return foreign
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin":
		return nil
	case "none":
		if r.Method == http.MethodGet { // typed in, or opened by feint
			return nil
		}
	case "cross-site", "same-site":
		// a link to the page itself harms nobody and brings no session (SameSite=Strict)
		if r.Method == http.MethodGet && r.Header.Get("Sec-Fetch-Mode") == "navigate" && !strings.HasPrefix(r.URL.Path, "/api/") {
			return nil
		}
	}
	return foreign
}

// mux serves the routes and the page.
func (s *Server) mux() http.Handler {
	m := http.NewServeMux()
	for _, t := range routes() {
		m.Handle(t.method+" "+t.path, s.handle(t))
	}
	m.HandleFunc("/api/", func(w http.ResponseWriter, _ *http.Request) {
		answer(w, gone("There is nothing to ask at this address."))
	})
	m.Handle("/", s.page.handler())
	return m
}

// handle checks the session, bounds the body and writes the answer.
func (s *Server) handle(t route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !t.open && !s.entered(r) {
			answer(w, &failure{http.StatusUnauthorized, Trouble{Code: "refused", Message: "Open the bench at the address that feint bench printed."}})
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, t.body)
		out, err := t.serve(s, w, r)
		switch {
		case err != nil:
			answer(w, err)
		case out != nil:
			write(w, http.StatusOK, out)
		}
	})
}

// answer writes an error.
func answer(w http.ResponseWriter, err error) {
	status, t := http.StatusInternalServerError, Trouble{Code: "fault", Message: err.Error()}
	var f *failure
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &f):
		status, t = f.status, f.trouble
	case errors.As(err, &large):
		status, t = http.StatusRequestEntityTooLarge, Trouble{Code: "large", Message: fmt.Sprintf("That is more than the %d bytes that are taken.", large.Limit)}
	}
	if t.Problems == nil {
		t.Problems = []Problem{}
	}
	write(w, status, t)
}

func write(w http.ResponseWriter, status int, v any) {
	raw, err := json.Marshal(v)
	if err != nil {
		status, raw = http.StatusInternalServerError, []byte(`{"code":"fault","message":"The answer could not be written down.","problems":[]}`)
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = w.Write(raw)
}

// readJSON reads one JSON value and nothing else.
func readJSON(r *http.Request, v any) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/json" {
		return &failure{http.StatusUnsupportedMediaType, Trouble{Code: "bad", Message: "Send JSON, with the content type application/json."}}
	}
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return bad("That is not the JSON that is asked here: %v.", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return bad("After the value comes more; send one value.")
	}
	return nil
}

// problems tells what a design load found, by line.
func problems(err error) ([]Problem, bool) {
	var ps *design.Problems
	if !errors.As(err, &ps) {
		return nil, false
	}
	out := []Problem{}
	for _, p := range ps.List {
		out = append(out, Problem{File: p.Pos.File, Line: p.Pos.Line, Col: p.Pos.Col, Message: p.Message, Advice: p.Advice})
	}
	return out, true
}
