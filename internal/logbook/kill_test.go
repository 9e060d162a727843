package logbook

import (
	"bufio"
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// kills is how often a writer is ended at a random instant.
var kills = flag.Int("kills", 200, "how often the kill test ends a writer")

// killWithin bounds the kill test; what a slow machine does not reach is told.
const killWithin = 60 * time.Second

// readingsEach is how many readings every trial of the writer has; a trial with
// another number of them was half written.
const readingsEach = 5

// TestMain is also the processes that the tests start.
func TestMain(m *testing.M) {
	role, dir := os.Getenv("LOGBOOK_TEST_ROLE"), os.Getenv("LOGBOOK_TEST_DIR")
	if role == "" {
		os.Exit(m.Run())
	}
	var err error
	switch role {
	case "writer":
		err = writer(dir, 1<<30)
	case "hundred":
		err = writer(dir, 100)
	case "opener":
		var b *Book
		if b, err = Open(ctx, dir, Options{Now: time.Now}); err == nil {
			err = b.Close()
		}
	case "large": // for scripts/peers/logbook.sh
		var b *Book
		if b, err = Create(ctx, dir, Options{Now: time.Now}); err == nil {
			err = joined(fillLarge(b), b.Close())
		}
	case "importer":
		err = importer(dir)
	case "loader":
		var f *os.File
		if f, err = os.Open(filepath.Join(dir, "..", "dump")); err == nil {
			err = Load(ctx, dir, f, Options{Now: time.Now})
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// writer does deeds, one after the other, and tells each number once it is done.
func writer(dir string, n int) error {
	b, err := Open(ctx, dir, Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer b.Close()
	who := strconv.Itoa(os.Getpid())
	for i := range n {
		deed, err := b.Do(ctx, who, func(tx *Tx) error { return oneTrial(tx, i, who) })
		if err != nil {
			return err
		}
		fmt.Println(deed)
	}
	return nil
}

// oneTrial adds a trial with its readings and every seventh time a photo, changes
// the trial before it and now and then removes an older one.
func oneTrial(tx *Tx, i int, who string) error {
	tr := Trial{Revision: 1, Minutes: num(float64(i)), Note: who}
	if err := Add(tx, &tr); err != nil {
		return err
	}
	for k := range readingsEach {
		if err := Add(tx, &Reading{Trial: tr.ID, Kind: Gap, Gap: num(0.05 * float64(k)), Felt: Slides, Note: strings.Repeat("x", 200)}); err != nil {
			return err
		}
	}
	last, err := All[Trial](context.Background(), tx, "id < ? ORDER BY id DESC LIMIT 1", tr.ID)
	if err != nil {
		return err
	}
	if len(last) > 0 {
		last[0].Place = fmt.Sprint("before ", tr.ID)
		if err := Change(tx, &last[0]); err != nil {
			return err
		}
	}
	if i%7 == 3 {
		raw := smallPicture(rand.Uint32())
		if err := KeepPhoto(tx, bytes.NewReader(raw), &Photo{Trial: tr.ID}); err != nil {
			return err
		}
	}
	return nil
}

// smallPicture is a GIF of one pixel whose colour tells it from others.
func smallPicture(v uint32) []byte {
	return []byte{
		'G', 'I', 'F', '8', '9', 'a', 1, 0, 1, 0, 0x80, 0, 0, byte(v), byte(v >> 8), byte(v >> 16), 0, 0, 0,
		0x2c, 0, 0, 0, 0, 1, 0, 1, 0, 0, 2, 2, 0x44, 1, 0, 0x3b,
	}
}

func process(role, dir string) *exec.Cmd {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "LOGBOOK_TEST_ROLE="+role, "LOGBOOK_TEST_DIR="+dir)
	c.Stderr = os.Stderr
	return c
}

// TestKill ends a writer at random instants. Every deed that it told of must be
// there, and no deed may be there in part: SQLite's own checks pass, every trial has
// all its readings, every row of the photos a whole file, and the history leads
// to what stands in the tables. This is about processes that end; that a commit
// also outlives a power cut is SQLite's promise for synchronous FULL (sqlite.org/pragma.html).
func TestKill(t *testing.T) {
	b := opened(t)
	tower(t, b)
	dir := b.Dir()
	b.Close()
	n := *kills
	if testing.Short() {
		n = min(n, 20)
	}
	until := time.Now().Add(killWithin)
	told, whole := map[ID]bool{}, 0
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range n {
		if time.Now().After(until) {
			t.Logf("%d of %d kills within %v", i, n, killWithin)
			break
		}
		for _, id := range killOnce(t, dir, time.Duration(rng.IntN(25_000))*time.Microsecond, i%4 == 0) {
			told[id] = true
		}
		whole = checkKilled(t, dir, told, i%10 == 9 || i == n-1)
		if t.Failed() {
			t.Fatalf("after %d kills", i+1)
		}
	}
	t.Logf("%d deeds were told of, %d trials stand", len(told), whole)
	if len(told) < n/2 {
		t.Errorf("only %d deeds in %d runs: the writer was hardly ever at work", len(told), n)
	}
}

// killOnce starts a writer and ends it some time after its first deed, or, early,
// some time after its start; it gives the deeds that were told.
func killOnce(t *testing.T, dir string, after time.Duration, early bool) (told []ID) {
	t.Helper()
	c := process("writer", dir)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	in := bufio.NewReader(out)
	note := func(line string) {
		if id, err := strconv.Atoi(strings.TrimSuffix(line, "\n")); err == nil && strings.HasSuffix(line, "\n") {
			told = append(told, ID(id))
		}
	}
	if !early {
		line, err := in.ReadString('\n')
		if err != nil {
			t.Fatalf("the writer ended by itself: %v", err)
		}
		note(line)
	}
	time.Sleep(after)
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	rest, err := io.ReadAll(in)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(rest)) {
		note(line)
	}
	_ = c.Wait() // it was killed
	return told
}

// checkKilled looks for anything lost or half written, if asked by SQLite's own
// checks and in every photo as well, and counts the trials.
func checkKilled(t *testing.T, dir string, told map[ID]bool, closely bool) int {
	t.Helper()
	b, err := Open(ctx, dir, Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if closely {
		if found, err := b.Examine(ctx); len(found) > 0 || err != nil {
			t.Error(found, err)
		}
	}
	count := func(text string, args ...any) (n int) {
		if err := b.db.QueryRow(text, args...).Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	if n := count(`SELECT count(*) FROM trials t WHERE id > 1 AND (SELECT count(*) FROM readings r WHERE r.trial = t.id) <> ?`, readingsEach); n > 0 {
		t.Errorf("%d trials have not all their readings", n)
	}
	if n := count(`SELECT count(*) FROM history WHERE deed IS NULL OR deed NOT IN (SELECT id FROM deeds)`); n > 0 {
		t.Errorf("%d changes belong to no deed", n)
	}
	if n := count(`SELECT count(*) FROM deeds d WHERE (SELECT count(*) FROM history h WHERE h.deed = d.id) = 0`); n > 0 {
		t.Errorf("%d deeds did nothing", n)
	}
	if n := count(`SELECT count(*) FROM trials t WHERE id > 1 AND id < (SELECT max(id) FROM trials) AND place <> 'before ' || (SELECT min(id) FROM trials n WHERE n.id > t.id)`); n > 0 {
		t.Errorf("%d trials lack the change that came with the next", n)
	}
	have := map[ID]bool{}
	deeds, err := Deeds(ctx, b, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range deeds {
		have[d.ID] = true
	}
	for id := range told {
		if !have[id] {
			t.Errorf("deed %d was told of and is lost", id)
		}
	}
	return count("SELECT count(*) FROM trials")
}

// TestKillOpening ends a process while it brings an older file up to date, and one
// while it loads: the file is then wholly of the old form or wholly of the new,
// and a loaded logbook is there whole or not at all.
func TestKillOpening(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute with the race detector, which uses -short; the plain run has it")
	}
	text := dump(t, full(t))
	rng := rand.New(rand.NewPCG(3, 4))
	news, loaded := 0, 0
	const rounds = 24
	opening, loading := time.Duration(0), time.Duration(0) // how long they take, in the first round
	for i := range rounds {
		dir := older(t)
		opening = max(opening, killed(t, "opener", dir, rng, opening, i == 0))
		if r, err := Open(ctx, dir, Options{ReadOnly: true}); err == nil {
			news++
			r.Close()
		}
		b, err := Open(ctx, dir, Options{Now: time.Now})
		if err != nil {
			t.Fatal(err)
		}
		if got, err := Get[Reading](ctx, b, 1); err != nil || *got.Measured != 11.86 || got.Note != "again" {
			t.Errorf("%+v, %v", got, err)
		}
		b.Close()

		dir = filepath.Join(t.TempDir(), "in")
		if err := os.Mkdir(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "..", "dump"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		loading = max(loading, killed(t, "loader", dir, rng, loading, i == 0))
		if _, err := os.Stat(filepath.Join(dir, FileName)); err != nil {
			continue
		}
		loaded++
		b, err = Open(ctx, dir, Options{Now: time.Now})
		if err != nil {
			t.Fatal(err)
		}
		if dump(t, b) != text {
			t.Error("a logbook is loaded in part")
		}
		b.Close()
	}
	if news == 0 || loaded == 0 {
		t.Error("not even one that was left to end came to its end")
	}
	t.Logf("of %d, %d were brought up to date and %d loaded before the end", rounds, news, loaded)
}

// killed starts a process and ends it at a random instant within the time given, or
// lets it come to its end and tells how long it took.
func killed(t *testing.T, role, dir string, rng *rand.Rand, within time.Duration, whole bool) time.Duration {
	t.Helper()
	begun := time.Now()
	c := process(role, dir)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	if whole {
		if err := c.Wait(); err != nil {
			t.Fatal(err)
		}
		return time.Since(begun)
	}
	time.Sleep(time.Duration(rng.Int64N(int64(within))))
	_ = c.Process.Kill() // it may have ended before
	_ = c.Wait()
	return 0
}

// TestTwoProcesses lets two processes and this one write at once: each waits for
// the others and nothing of any is lost.
func TestTwoProcesses(t *testing.T) {
	b := opened(t)
	tower(t, b)
	one, two := process("hundred", b.Dir()), process("hundred", b.Dir())
	for _, c := range []*exec.Cmd{one, two} {
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 50 {
		done(t, b, func(tx *Tx) error { return oneTrial(tx, i, "me") })
	}
	for _, c := range []*exec.Cmd{one, two} {
		if err := c.Wait(); err != nil {
			t.Error(err)
		}
	}
	all, err := All[Trial](ctx, b, "id > 1")
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]int{}
	for i := range all {
		by[all[i].Note]++
	}
	if len(by) != 3 || by["me"] != 50 || len(all) != 250 {
		t.Errorf("%v of %d trials", by, len(all))
	}
	checkKilled(t, b.Dir(), nil, true)
}
