package cache

import (
	"bytes"
	"os"
	"testing"
	"time"
)

func TestRoundTrip(t *testing.T) {
	s, err := Open(t.TempDir(), 0)
	if err != nil {
		t.Fatal(err)
	}
	k := Key("map", "rod", "sleeve")
	if _, ok := s.Get(k); ok {
		t.Fatal("found what was never put")
	}
	if err := s.Put(k, []byte("cells")); err != nil {
		t.Fatal(err)
	}
	if b, ok := s.Get(k); !ok || !bytes.Equal(b, []byte("cells")) {
		t.Fatalf("got %q, %v", b, ok)
	}
}

func TestDamagedEntryIsNotFound(t *testing.T) {
	s, err := Open(t.TempDir(), 0)
	if err != nil {
		t.Fatal(err)
	}
	k := Key("x")
	if err := s.Put(k, []byte("0123456789")); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(s.path(k))
	if err != nil {
		t.Fatal(err)
	}
	for i := range whole {
		bad := bytes.Clone(whole)
		bad[i] ^= 1
		if err := os.WriteFile(s.path(k), bad, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, ok := s.Get(k); ok {
			t.Fatalf("a flipped bit at %d went unnoticed", i)
		}
		if err := os.WriteFile(s.path(k), whole[:i], 0o600); err != nil {
			t.Fatal(err)
		}
		if _, ok := s.Get(k); ok {
			t.Fatalf("a file torn at %d went unnoticed", i)
		}
	}
}

func TestKeyTellsPartsApart(t *testing.T) {
	if Key("ab", "c") == Key("a", "bc") {
		t.Error("keys run together")
	}
}

func TestPruneKeepsTheRecent(t *testing.T) {
	s, err := Open(t.TempDir(), 3000)
	if err != nil {
		t.Fatal(err)
	}
	now := time.Now()
	for i := range 6 {
		k := Key(string(rune('a' + i)))
		if err := s.Put(k, make([]byte, 900)); err != nil {
			t.Fatal(err)
		}
		at := now.Add(time.Duration(i) * time.Minute)
		if err := os.Chtimes(s.path(k), at, at); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Prune(); err != nil {
		t.Fatal(err)
	}
	for i := range 6 {
		_, ok := s.Get(Key(string(rune('a' + i))))
		if want := i >= 3; ok != want {
			t.Errorf("entry %d: found %v, want %v", i, ok, want)
		}
	}
}

func TestNilStore(t *testing.T) {
	var s *Store
	if _, ok := s.Get("ab"); ok {
		t.Error("a nil store found something")
	}
	if err := s.Put("ab", nil); err != nil {
		t.Error(err)
	}
}
