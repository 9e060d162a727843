package server

import (
	"bytes"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// raw sends a request with the headers given and nothing of its own.
func (b *bench) raw(method, path, body string, change func(r *http.Request)) *http.Response {
	b.t.Helper()
	r, err := http.NewRequest(method, b.s.Origin()+path, strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	r.Header.Set("Origin", b.s.Origin())
	r.Header.Set("Content-Type", "application/json")
	change(r)
	res, err := b.client.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	text, _ := io.ReadAll(res.Body)
	res.Body = io.NopCloser(bytes.NewReader(text))
	return res
}

// TestHostilePage: what another page in the same browser could try. The session's
// cookie goes with every request here, as if the browser had let it.
func TestHostilePage(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	save := `{"text":"x","sha256":"y"}`
	for name, try := range map[string]struct {
		method, path, body string
		change             func(r *http.Request)
		want               int
	}{
		"foreign origin":    {"PUT", "/api/designs/ferry.star", save, func(r *http.Request) { r.Header.Set("Origin", "http://bad.example") }, 403},
		"no origin":         {"PUT", "/api/designs/ferry.star", save, func(r *http.Request) { r.Header.Del("Origin") }, 403},
		"null origin":       {"POST", "/api/proofs", "{}", func(r *http.Request) { r.Header.Set("Origin", "null") }, 403},
		"other port":        {"POST", "/api/proofs", "{}", func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:1") }, 403},
		"marked as foreign": {"GET", "/api/bench", "", func(r *http.Request) { r.Header.Del("Origin"); r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		"foreign script": {"GET", "/main.js", "", func(r *http.Request) {
			r.Header.Del("Origin")
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Mode", "no-cors")
		}, 403},
		"name that leads here": {"GET", "/api/bench", "", func(r *http.Request) { r.Host = "rebound.example:80"; r.Header.Del("Origin") }, 421},
		"name with the right port": {"GET", "/", "", func(r *http.Request) {
			r.Host = "rebound.example" + strings.TrimPrefix(b.s.Origin(), "http://127.0.0.1")
			r.Header.Del("Origin")
		}, 421},
		"form":                {"POST", "/api/proofs", "{}", func(r *http.Request) { r.Header.Set("Content-Type", "text/plain") }, 415},
		"two values":          {"POST", "/api/compare", `{"before":"","after":""} {}`, func(*http.Request) {}, 400},
		"unknown member":      {"POST", "/api/compare", `{"before":"","after":"","x":1}`, func(*http.Request) {}, 400},
		"huge body":           {"POST", "/api/designs/ferry.star/check", `{"text":"` + strings.Repeat("x", 3<<20) + `"}`, func(*http.Request) {}, 413},
		"huge small body":     {"POST", "/api/play/room", `{"stage":"` + strings.Repeat("x", 1<<20) + `"}`, func(*http.Request) {}, 413},
		"huge design":         {"PUT", "/api/designs/ferry.star", `{"sha256":"","text":"` + strings.Repeat("x", maxDesign+1) + `"}`, func(*http.Request) {}, 413},
		"no such question":    {"GET", "/api/secrets", "", func(*http.Request) {}, 404},
		"growth beyond all":   {"POST", "/api/proofs", `{"tab":"a","design":"ferry.star","set":[],"growth":{"lo_mm":-9,"hi_mm":9}}`, func(*http.Request) {}, 400},
		"tab that is no name": {"GET", "/api/events?tab=%0d%0aSet-Cookie:x", "", func(*http.Request) {}, 400},
	} {
		res := b.raw(try.method, try.path, try.body, try.change)
		if res.StatusCode != try.want {
			text, _ := io.ReadAll(res.Body)
			t.Errorf("%s: %d, want %d: %.200s", name, res.StatusCode, try.want, text)
		}
		if a := res.Header.Get("Access-Control-Allow-Origin"); a != "" {
			t.Errorf("%s: other pages may read the answer: %s", name, a)
		}
	}
}

// TestPathTricks: no name leads out of the workshop folder or to what is no design.
func TestPathTricks(t *testing.T) {
	outer := t.TempDir()
	inner := filepath.Join(outer, "workshop")
	if err := os.Mkdir(inner, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{filepath.Join(outer, "secret.star"): "secret", filepath.Join(inner, "ferry.star"): ferry, filepath.Join(inner, "notes.txt"): "notes"} {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(filepath.Join(outer, "secret.star"), filepath.Join(inner, "link.star")); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	if err := os.Mkdir(filepath.Join(inner, "folder.star"), 0o755); err != nil {
		t.Fatal(err)
	}
	b := openBench(t, Config{Folder: inner})
	b.enter()
	for _, name := range []string{
		"..%2fsecret.star", "%2e%2e%2fsecret.star", "..%5csecret.star", "%2fetc%2fpasswd", "notes.txt", "link.star", "folder.star",
		".star", ".hidden.star", "a%00.star", "C:secret.star", "workshop%2f..%2f..%2fsecret.star", "none.star",
	} {
		for _, try := range []struct{ method, path, body string }{
			{"GET", "/api/designs/" + name, ""},
			{"PUT", "/api/designs/" + name, `{"text":"overwritten","sha256":"` + digest([]byte("secret")) + `"}`},
		} {
			if res := b.raw(try.method, try.path, try.body, func(*http.Request) {}); res.StatusCode == 200 {
				text, _ := io.ReadAll(res.Body)
				t.Errorf("%s %s: %s", try.method, try.path, text)
			}
		}
	}
	for _, name := range []string{"../secret.star", "link.star", "/etc/passwd"} {
		ch := b.listen("p")
		code := b.ask("POST", "/api/proofs", ProofAsked{Tab: "p", Design: name, Set: []ParamValue{}, Growth: Range{-0.05, 0.05}}, "", nil)
		if code == 200 && until(t, ch, "failed", "proved").Kind == "proved" {
			t.Errorf("%s was proved", name)
		}
	}
	if text, _ := os.ReadFile(filepath.Join(outer, "secret.star")); string(text) != "secret" {
		t.Error("written outside")
	}
	for _, path := range []string{"/../../go.mod", "/%2e%2e/server.go", "/page/unbuilt.html", "/built/../unbuilt.html"} {
		if res := b.raw("GET", path, "", func(*http.Request) {}); res.StatusCode == 200 && !strings.Contains(res.Header.Get("Content-Type"), "text/html") {
			t.Errorf("%s: %v", path, res.Header)
		}
	}
	// a design that reads outside is refused by the language
	if code := b.ask("POST", "/api/designs/ferry.star/check", TextOnly{`load("../secret.star", "x")`}, "Checked", nil); code != 200 {
		t.Error(code)
	}
	var c Checked
	b.ask("POST", "/api/designs/ferry.star/check", TextOnly{`part("p", frame = True, solid = mesh("../secret.stl"))`}, "Checked", &c)
	if len(c.Problems) == 0 {
		t.Error("a mesh outside was taken")
	}
}

// TestStrangersDesign: a design that loops or fills memory ends with words.
func TestStrangersDesign(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	for _, text := range []string{"def f():\n  while True:\n    pass\nf()\n", "x = \"a\" * 1000000000\n", "x = [0]\nfor i in range(60):\n  x = x + x\n"} {
		var c Checked
		if code := b.ask("POST", "/api/designs/ferry.star/check", TextOnly{text}, "Checked", &c); code != 200 || len(c.Problems) == 0 || c.Problems[len(c.Problems)-1].Line == 0 {
			t.Errorf("%q: %d %+v", text, code, c)
		}
	}
}

// TestStrangersProof: the same, and solids made to take all memory, ends a proof with
// words; files outside the workshop are not read through a link either.
func TestStrangersProof(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	ch := b.listen("s")
	outside := filepath.Join(t.TempDir(), "secret.stl")
	if err := os.WriteFile(outside, []byte("solid secret\nendsolid secret\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(b.dir, "inside.stl")); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	const rest = "gate = part(\"gate\", solid = block((300, 308), (-4, 4), (1, 9)), travels = [slide(x, -5, 25)])\ngoal(\"aside\", {gate.slide: (5, None)})\n"
	for name, c := range map[string]struct{ text, words string }{
		"loop":            {"def f():\n  while True:\n    pass\nf()\n", "step"},
		"memory":          {"x = [0]\nfor i in range(60):\n  x = x + x\n", ""},
		"crossing solids": {"s = block((0, 1), (0, 1), (0, 1))\nfor i in range(360):\n  s = s + block((2*i, 2*i + 1), (-1, 720), (0, 1)) + block((-1, 720), (2*i, 2*i + 1), (0.5, 1.5))\nquay = part(\"quay\", frame = True, solid = s)\n" + rest, "memory"},
		"mesh by a link":  {"quay = part(\"quay\", frame = True, solid = mesh(\"inside.stl\"))\n" + rest, ""},
		"mesh above":      {"quay = part(\"quay\", frame = True, solid = mesh(\"../secret.stl\"))\n" + rest, ""},
		"load above":      {"load(\"../secret.star\", \"x\")\n", ""},
	} {
		if err := os.WriteFile(filepath.Join(b.dir, "ferry.star"), []byte(c.text), 0o640); err != nil {
			t.Fatal(err)
		}
		if code := b.ask("POST", "/api/proofs", asked("s"), "Started", nil); code != 200 {
			t.Fatal(name, code)
		}
		e := until(t, ch, "failed", "proved")
		if e.Kind != "failed" || e.Trouble.Message == "" {
			t.Fatalf("%s: %+v", name, e)
		}
		all := e.Trouble.Message
		for _, p := range e.Trouble.Problems {
			all += " " + p.Message + " " + p.Advice
		}
		if !strings.Contains(all, c.words) || strings.Contains(all, "endsolid") {
			t.Errorf("%s: %s", name, all)
		}
	}
}

// TestStopSolids: a proof whose solids take long is stopped while they are joined.
func TestStopSolids(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	ch := b.listen("s")
	long := "s = block((0, 1), (0, 1), (0, 1))\nfor i in range(110):\n  s = s + block((2*i, 2*i + 1), (-1, 220), (0, 1)) + block((-1, 220), (2*i, 2*i + 1), (0.5, 1.5))\nquay = part(\"quay\", frame = True, solid = s)\n" +
		"gate = part(\"gate\", solid = block((300, 308), (-4, 4), (1, 9)), travels = [slide(x, -5, 25)])\ngoal(\"aside\", {gate.slide: (5, None)})\n"
	if err := os.WriteFile(filepath.Join(b.dir, "ferry.star"), []byte(long), 0o640); err != nil {
		t.Fatal(err)
	}
	var st Started
	b.ask("POST", "/api/proofs", asked("s"), "Started", &st)
	until(t, ch, "progress") // the small part is built
	b.ask("DELETE", "/api/proofs/"+st.Proof+"?tab=s", nil, "None", nil)
	if e := until(t, ch, "stopped", "proved", "failed"); e.Kind != "stopped" {
		t.Fatalf("%+v", e)
	}
	idle(t)
}

// TestWithoutSession: nothing is answered but the page and the way in.
func TestWithoutSession(t *testing.T) {
	b := openBench(t, Config{})
	for _, r := range routes() {
		if r.open {
			continue
		}
		path := strings.NewReplacer("{proof}", "x", "{mesh}", "x", "{stage}", "x", "{design}", "ferry.star", "{trial}", "1", "{photo}", "x", "{export}", "x", "{file}", "1", "{kind}", "trial", "{record}", "1", "{of}", "trial", "{fault}", "1").Replace(r.path)
		if code := b.ask(r.method, path, nil, "Trouble", nil); code != http.StatusUnauthorized {
			t.Errorf("%s %s: %d", r.method, path, code)
		}
	}
	if code := b.ask("POST", "/api/enter", Key{"guess"}, "", nil); code != http.StatusForbidden {
		t.Error(code)
	}
	res := b.raw("GET", "/", "", func(r *http.Request) { r.Header.Del("Origin") })
	policy := res.Header.Get("Content-Security-Policy")
	if res.StatusCode != 200 || strings.Contains(policy, "unsafe") || !strings.Contains(policy, "default-src 'none'") || !strings.Contains(policy, "frame-ancestors 'none'") {
		t.Errorf("%d %s", res.StatusCode, policy)
	}
	b.enter()
	res = b.raw("GET", "/api/bench", "", func(r *http.Request) { r.Header.Del("Origin") })
	if res.StatusCode != 200 {
		t.Error(res.StatusCode)
	}
	for _, c := range res.Cookies() {
		t.Errorf("a cookie is set anew: %v", c)
	}
}

func TestCookie(t *testing.T) {
	b := openBench(t, Config{})
	res := b.raw("POST", "/api/enter", `{"key":"`+b.s.secret+`"}`, func(*http.Request) {})
	if len(res.Cookies()) != 1 {
		t.Fatal(res.Status)
	}
	c := res.Cookies()[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Domain != "" || len(c.Value) < 40 {
		t.Errorf("%+v", c)
	}
}
