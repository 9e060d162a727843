package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"net/http"
	"os"
	"path"
	"strings"
	"testing"
)

// described is the description of the interface as it is kept, read as plain JSON.
type described struct {
	Paths map[string]map[string]struct {
		OperationID string `json:"operationId"`
		Parameters  []struct {
			Name     string
			In       string
			Required bool
		}
		RequestBody *struct {
			Content map[string]struct{ Schema map[string]string }
		} `json:"requestBody"`
		Responses map[string]struct {
			Content map[string]struct{ Schema map[string]any }
		}
	}
}

// example is one request that must be answered, of a route by its name.
type example struct {
	at   []string // values of the names in the path, in their order
	ask  string   // query
	body any      // JSON, or bytes

	refused bool // the ferry has no such thing; the tests of play ask it of a box that has
}

// TestEveryRoute: every route of the description is asked once with a request that its
// schema allows, and answers 200 with what its schema and media type allow; an answer
// that is none is described as well. A route without an example here fails.
func TestEveryRoute(t *testing.T) {
	b := shop(t)
	var d described
	raw, err := os.ReadFile("../../docs/openapi.json")
	if err == nil {
		err = json.Unmarshal(raw, &d)
	}
	if err != nil {
		t.Fatal(err)
	}
	left := 0
	for p, methods := range d.Paths {
		for m := range methods {
			left++
			if _, ok := b.route(strings.ToUpper(m), p); !ok {
				t.Errorf("%s %s is described and not there", m, p)
			}
		}
	}
	for _, r := range routes() {
		if _, ok := d.Paths[r.path][strings.ToLower(r.method)]; !ok {
			t.Errorf("%s %s is there and not described", r.method, r.path)
		}
	}
	for _, id := range b.inOrder(&d) {
		left--
		t.Logf("%s answers as described", id)
	}
	if left != 0 {
		t.Errorf("%d routes were not asked", left)
	}
}

func (b *bench) route(method, path string) (route, bool) {
	for _, r := range routes() {
		if r.method == method && r.path == path {
			return r, true
		}
	}
	return route{}, false
}

// inOrder asks all routes, those first whose answers others need.
func (b *bench) inOrder(d *described) []string {
	t := b.t
	ch := b.listen("o")
	b.ask("POST", "/api/proofs", asked("o"), "Started", nil)
	stage := until(t, ch, "stage").Stage
	p := until(t, ch, "proved").Result
	until(t, ch, "pictures")
	b.line("95 min, binds at gate, bore 8 = 7.9")
	if code := b.photo("trial/1", picture(t)); code != 200 {
		t.Fatal(code)
	}
	var files Exported
	b.ask("POST", "/api/stages/"+stage.ID+"/exports", ExportAsked{Plate: "220x220", Parts: []string{}}, "Exported", &files)
	text := Text{}
	b.ask("GET", "/api/designs/ferry.star", nil, "Text", &text)
	spot := Spot{Stage: stage.ID, Config: stage.Start, Part: 1}
	v := 7.8
	of := func(s ...string) []string { return s }
	all := map[string]example{
		"enter": {body: Key{b.s.secret}}, "bench": {}, "events": {ask: "tab=x"}, "prove": {body: asked("x")}, "stop": {at: of(p.ID), ask: "tab=x"},
		"drawn": {at: of(p.ID)}, "pictures": {at: of(p.ID)}, "report": {at: of(p.ID)}, "compare": {body: Two{p.ID, p.ID, ""}}, "yield": {body: YieldAsked{"x", p.ID, ""}},
		"mesh": {at: of(stage.Parts[1].Mesh)}, "files": {at: of(stage.ID)}, "export": {at: of(stage.ID), body: ExportAsked{Plate: "220x220x250", Cut: "y=0", Parts: []string{}}},
		"fits": {at: of(stage.ID)}, "gauges": {at: of(stage.ID), body: GaugesAsked{Fits: []int{}, Gaps: []float64{}, Plain: true}},
		"exportedFile": {at: of(files.ID, "1")}, "exportedZip": {at: of(files.ID)},
		"room": {body: spot}, "near": {body: spot}, "onward": {body: spot}, "pull": {body: Pull{Stage: stage.ID, Config: stage.Start, Want: []Want{{1, -5}}}},
		"beginPlay": {body: spot}, "turn": {body: Turned{spot, 1}}, "take": {body: Taken{spot, 0, 1}, refused: true},
		"logSolve":  {at: of("ferry.star"), body: SolveGiven{Who: "AK", Moves: 2, Set: []ParamValue{}}},
		"newDesign": {body: NewDesign{"hut"}},
		"read":      {at: of("ferry.star")}, "save": {at: of("ferry.star"), body: Save{text.Text, text.SHA256}}, "check": {at: of("ferry.star"), body: TextOnly{"x ="}},
		"setInText": {at: of("ferry.star"), body: SetInText{text.Text, []ParamValue{{"bollard at", 21}}}},
		"workshop":  {at: of("ferry.star"), ask: "proof=" + p.ID}, "beginLogbook": {}, "logLine": {at: of("ferry.star"), body: LogLine{"new, 80 min", []ParamValue{}}},
		"logReadings":  {at: of("ferry.star"), body: ReadingsGiven{Gauge: "g", Printer: "Kestrel", Set: []ParamValue{}, Readings: []ReadingGiven{{Kind: "bore", Nominal: &v, Measured: &v}}}},
		"keepRevision": {body: KeepAsked{p.ID, "why?"}}, "history": {}, "addRecord": {at: of("spool"), body: RecordSet{[]string{"name=blue"}}},
		"record": {at: of("trial", "1")}, "editRecord": {at: of("trial", "1"), body: RecordSet{[]string{"note=x"}}}, "dropRecord": {at: of("reading", "1")},
		"stand": {at: of("1"), body: BoundGiven{"bind at least 0.1"}}, "undoDeed": {body: DeedNamed{}}, "keepPhoto": {at: of("fault", "1"), body: picture(t)},
		"photo": {at: of("1")}, "wholePhoto": {at: of("1")}, "printers": {}, "learnPrinter": {body: LearnAsked{Name: "Kestrel, red", Printer: "Kestrel"}},
		"preferPrinter": {body: Preference{"Kestrel, red"}},
	}
	var done []string
	for _, r := range routes() {
		e, ok := all[r.id]
		if !ok {
			t.Errorf("%s %s has no example here", r.method, r.path)
			continue
		}
		if r.id == "beginLogbook" {
			done = append(done, r.id) // shop has begun it, and a second time it is refused
			b.ask(r.method, r.path, None{}, "", nil)
			continue
		}
		if b.example(d, &r, &e) {
			done = append(done, r.id)
		}
	}
	return done
}

// example asks one route and holds question and answer against the description.
func (b *bench) example(d *described, r *route, e *example) bool {
	t := b.t
	op := d.Paths[r.path][strings.ToLower(r.method)]
	where := r.path
	for _, v := range e.at {
		i, j := strings.Index(where, "{"), strings.Index(where, "}")
		where = where[:i] + v + where[j+1:]
	}
	for _, p := range op.Parameters {
		if p.In == "query" && p.Required && !strings.HasPrefix(e.ask, p.Name+"=") {
			t.Errorf("%s: the query %s is needed", r.id, p.Name)
		}
	}
	var body []byte
	kind := "application/json"
	switch x := e.body.(type) {
	case nil:
		if op.RequestBody != nil {
			t.Errorf("%s: a body is described", r.id)
		}
	case []byte:
		body, kind = x, "image/png"
	default:
		body, _ = json.Marshal(x)
		b.holds(path.Base(op.RequestBody.Content[kind].Schema["$ref"]), body)
	}
	if body != nil && op.RequestBody != nil {
		fits := false
		for m := range op.RequestBody.Content {
			fits = fits || mediaFits(m, kind)
		}
		if !fits {
			t.Errorf("%s: %s is not described as a body", r.id, kind)
		}
	}
	q, err := http.NewRequest(r.method, b.s.Origin()+where+"?"+e.ask, bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Origin", b.s.Origin())
	q.Header.Set("Content-Type", kind)
	res, err := b.client.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if r.raw == "text/event-stream" { // it does not end; its events are held against their schema wherever a test listens
		return res.StatusCode == 200 && strings.HasPrefix(res.Header.Get("Content-Type"), r.raw)
	}
	out, err := io.ReadAll(res.Body)
	if e.refused {
		b.holds("Trouble", out)
		return res.StatusCode == 400
	}
	if err != nil || res.StatusCode != 200 {
		t.Errorf("%s %s: %d %v %.300s", r.method, where, res.StatusCode, err, out)
		return false
	}
	return b.answered(r.id, op.Responses["200"].Content, res.Header.Get("Content-Type"), out)
}

// answered holds an answer against its media type and schema.
func (b *bench) answered(id string, content map[string]struct{ Schema map[string]any }, kind string, out []byte) bool {
	got, _, err := mime.ParseMediaType(kind)
	if err != nil {
		b.t.Errorf("%s: media type %q", id, kind)
		return false
	}
	for m, c := range content {
		if !mediaFits(m, got) {
			b.t.Errorf("%s: %s, described is %s", id, got, m)
			return false
		}
		if m == "application/json" {
			b.holds(path.Base(fmt.Sprint(c.Schema["$ref"])), out)
		} else if len(out) == 0 {
			b.t.Errorf("%s: nothing was sent", id)
		}
	}
	return len(content) == 1
}

// mediaFits tells whether a media type lies in a range (RFC 9110, 12.5.1).
func mediaFits(of, is string) bool {
	return of == "*/*" || of == is || strings.HasSuffix(of, "/*") && strings.HasPrefix(is, strings.TrimSuffix(of, "*"))
}
