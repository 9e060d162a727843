package server

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"time"
)

// random is n random bytes in letters that need no escaping.
func random(n int) string {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// A session lasts for a working day; there are no more than maxSessions.
const (
	sessionFor  = 12 * time.Hour
	maxSessions = 32
)

// state is what outlives a start of the bench, so that a page that was open finds
// the restarted bench at the same address and is still known to it. Of a session
// only the hash is kept.
type state struct {
	path     string
	Port     int    `json:"port"`
	Sessions []pass `json:"sessions"`
}

type pass struct {
	SHA256 string    `json:"sha256"`
	Until  time.Time `json:"until"`
}

// openState reads the state of a workshop folder; what cannot be read is as if it
// were not there.
func openState(dir, folder string) *state {
	st := &state{}
	if dir == "" {
		return st
	}
	if abs, err := filepath.Abs(folder); err == nil {
		folder = abs
	}
	sum := sha256.Sum256([]byte(folder))
	path := filepath.Join(dir, "bench-"+hex.EncodeToString(sum[:8])+".json")
	if raw, err := os.ReadFile(path); err == nil && json.Unmarshal(raw, st) != nil {
		st = &state{}
	}
	st.path = path
	return st
}

// save writes the state for its owner only.
func (st *state) save() {
	if st.path == "" {
		return
	}
	raw, err := json.Marshal(st)
	if err != nil || os.MkdirAll(filepath.Dir(st.path), 0o700) != nil {
		return
	}
	tmp := st.path + ".new"
	if os.WriteFile(tmp, raw, 0o600) == nil {
		_ = os.Rename(tmp, st.path)
	}
}

// sessions knows who has entered.
type sessions struct {
	mu sync.Mutex
	st *state
}

func newSessions(st *state) *sessions { return &sessions{st: st} }

func (s *sessions) keep() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.st.save()
}

func hashed(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// issue makes a session.
func (s *sessions) issue(now time.Time) string {
	token := random(32)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.st.Sessions = slices.DeleteFunc(s.st.Sessions, func(p pass) bool { return now.After(p.Until) })
	s.st.Sessions = append(s.st.Sessions, pass{hashed(token), now.Add(sessionFor)})
	if n := len(s.st.Sessions); n > maxSessions {
		s.st.Sessions = s.st.Sessions[n-maxSessions:]
	}
	s.st.save()
	return token
}

// known tells whether a token is a session that lasts.
func (s *sessions) known(token string, now time.Time) bool {
	h := hashed(token)
	s.mu.Lock()
	defer s.mu.Unlock()
	ok := false
	for _, p := range s.st.Sessions {
		if subtle.ConstantTimeCompare([]byte(p.SHA256), []byte(h)) == 1 && now.Before(p.Until) {
			ok = true
		}
	}
	return ok
}

// cookie is the name of the session cookie: cookies are shared by all ports of a
// host, so the port is in the name.
func (s *Server) cookie() string { return "feint-bench-" + strconv.Itoa(s.port()) }

func (s *Server) enter(w http.ResponseWriter, r *http.Request) (any, error) {
	var k Key
	if err := readJSON(r, &k); err != nil {
		return nil, err
	}
	if subtle.ConstantTimeCompare([]byte(k.Key), []byte(s.secret)) != 1 {
		return nil, &failure{http.StatusForbidden, Trouble{Code: "refused", Message: "This address belongs to another start of the bench. Open the one that feint bench printed."}}
	}
	http.SetCookie(w, &http.Cookie{
		Name: s.cookie(), Value: s.sessions.issue(time.Now()), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode,
		MaxAge: int(sessionFor.Seconds()),
	})
	return None{}, nil
}

// entered tells whether a request comes from a session.
func (s *Server) entered(r *http.Request) bool {
	c, err := r.Cookie(s.cookie())
	return err == nil && s.sessions.known(c.Value, time.Now())
}
