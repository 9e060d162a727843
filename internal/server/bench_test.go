package server

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"feint/internal/cache"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// ferry is a small invented design: a gate that slides aside, and a boat that then
// slides out. Its stops can be told by hand.
const ferry = `# A ferry slip. Invented for feint.
wide = param("bollard at", 20, min = 10, max = 30, unit = "mm", note = "where the bollard stands")  # keep me
quay = part("quay", frame = True, solid = block((-50, 50), (-50, 50), (-10, 0))
    + block((wide, wide + 5), (-5, 5), (-1, 10)))
gate = part("gate", solid = block((0, 8), (-4, 4), (1, 9)), travels = [slide(x, -5, 25)])
boat = part("boat", solid = block((1, 6), (11, 17), (1, 9)), travels = [slide(y, -30, 10)])
start({})
step("gate aside", {gate.slide: (5, None)})
goal("boat out", {boat.slide: (None, -25)})
`

// bench is a running server with a browser's habits.
type bench struct {
	t      *testing.T
	s      *Server
	dir    string
	client *http.Client
	mu     sync.Mutex // compiling schemas is not for two at once
	schema *jsonschema.Compiler
	cancel context.CancelFunc
	done   chan struct{}
}

func sharedCache(t *testing.T) *cache.Store {
	t.Helper()
	dir, err := os.MkdirTemp("", "bench-cache-*")
	if err != nil {
		t.Fatal(err)
	}
	// a proof that is stopped with the bench may still write what it has just found
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	c, err := cache.Open(dir, 0)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func openBench(t *testing.T, cfg Config) *bench {
	t.Helper()
	if cfg.Folder == "" {
		cfg.Folder = t.TempDir()
		if err := os.WriteFile(filepath.Join(cfg.Folder, "ferry.star"), []byte(ferry), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	if cfg.Options.Cache == nil {
		cfg.Options.Cache = sharedCache(t)
	}
	cfg.Version = "test"
	s, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	jar, _ := cookiejar.New(nil)
	b := &bench{t: t, s: s, dir: cfg.Folder, client: &http.Client{Jar: jar, Transport: &http.Transport{}}, cancel: cancel, done: make(chan struct{})}
	go func() {
		defer close(b.done)
		if err := s.Serve(ctx); err != nil {
			t.Error(err)
		}
	}()
	t.Cleanup(b.close)
	b.compile()
	return b
}

func (b *bench) close() {
	b.cancel()
	<-b.done
}

// compile reads the interface's description as schemas, the one that is kept.
func (b *bench) compile() {
	b.t.Helper()
	raw, err := os.ReadFile("../../docs/openapi.json")
	if err != nil {
		b.t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		b.t.Fatal(err)
	}
	b.schema = jsonschema.NewCompiler()
	b.schema.DefaultDraft(jsonschema.Draft2020)
	if err := b.schema.AddResource("mem:openapi.json", doc); err != nil {
		b.t.Fatal(err)
	}
}

// holds checks a value against a schema of the description.
func (b *bench) holds(name string, raw []byte) {
	b.t.Helper()
	b.mu.Lock()
	s, err := b.schema.Compile("mem:openapi.json#/components/schemas/" + name)
	b.mu.Unlock()
	if err != nil {
		b.t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		b.t.Fatalf("%s: %v in %s", name, err, raw)
	}
	if err := s.Validate(v); err != nil {
		b.t.Errorf("%s: %v", name, err)
	}
}

// ask sends a request as the page does and checks the answer against the schema.
func (b *bench) ask(method, path string, in any, schema string, out any) int {
	b.t.Helper()
	var body io.Reader
	if in != nil {
		raw, err := json.Marshal(in)
		if err != nil {
			b.t.Fatal(err)
		}
		body = bytes.NewReader(raw)
	}
	r, err := http.NewRequest(method, b.s.Origin()+path, body)
	if err != nil {
		b.t.Fatal(err)
	}
	r.Header.Set("Origin", b.s.Origin())
	r.Header.Set("Content-Type", "application/json")
	res, err := b.client.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	if res.StatusCode != http.StatusOK {
		schema = "Trouble"
	}
	if schema != "" {
		b.holds(schema, raw)
	}
	if out != nil && res.StatusCode == http.StatusOK {
		if err := json.Unmarshal(raw, out); err != nil {
			b.t.Fatalf("%s: %v", raw, err)
		}
	} else if tr, ok := out.(*Trouble); ok {
		if err := json.Unmarshal(raw, tr); err != nil {
			b.t.Fatalf("%s: %v", raw, err)
		}
	}
	return res.StatusCode
}

func (b *bench) enter() {
	b.t.Helper()
	if code := b.ask("POST", "/api/enter", Key{b.s.secret}, "None", nil); code != http.StatusOK {
		b.t.Fatalf("enter: %d", code)
	}
}

// listen opens the stream of a tab.
func (b *bench) listen(tab string) <-chan Event {
	b.t.Helper()
	res, err := b.client.Get(b.s.Origin() + "/api/events?tab=" + tab)
	if err != nil || res.StatusCode != http.StatusOK {
		b.t.Fatal(err, res)
	}
	b.t.Cleanup(func() { res.Body.Close() })
	ch := make(chan Event, 4096)
	go func() {
		defer close(ch)
		sc := bufio.NewScanner(res.Body)
		sc.Buffer(nil, 16<<20)
		for sc.Scan() {
			if data, ok := strings.CutPrefix(sc.Text(), "data: "); ok {
				b.holds("Event", []byte(data))
				var e Event
				if json.Unmarshal([]byte(data), &e) == nil {
					ch <- e
				}
			}
		}
	}()
	return ch
}

// until waits for an event of a kind; other kinds are let pass.
func until(t *testing.T, ch <-chan Event, kinds ...string) Event {
	t.Helper()
	late := time.After(10 * time.Minute) // the race detector on a busy machine draws for minutes
	for {
		select {
		case e, ok := <-ch:
			if !ok {
				t.Fatalf("the stream ended before %v", kinds)
			}
			for _, k := range kinds {
				if e.Kind == k && (e.Result == nil || !e.Result.Partial) {
					return e
				}
			}
		case <-late:
			t.Fatalf("no %v", kinds)
		}
	}
}

// idle waits until nothing of a proof runs any more.
func idle(t *testing.T) {
	t.Helper()
	raw := make([]byte, 4<<20)
	for begin := time.Now(); ; time.Sleep(50 * time.Millisecond) {
		n := runtime.Stack(raw, true)
		if s := string(raw[:n]); !strings.Contains(s, "pipeline.Prove(") && !strings.Contains(s, "pipeline.Build(") {
			t.Logf("nothing works on after %.1f s", time.Since(begin).Seconds())
			return
		} else if time.Since(begin) > time.Minute {
			t.Fatalf("it works on:\n%s", s)
		}
	}
}

func asked(tab string, set ...ParamValue) ProofAsked {
	if set == nil {
		set = []ParamValue{}
	}
	return ProofAsked{Tab: tab, Design: "ferry.star", Set: set, Growth: Range{-0.05, 0.05}}
}
