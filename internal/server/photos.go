package server

import (
	"errors"
	"fmt"
	"net/http"
	"os"

	"feint/internal/logbook"
)

// maxPhoto is the largest photo that is taken, bytes.
const maxPhoto = 20 << 20

// keepPhoto keeps a photo of a trial, a fault or a revision.
func (s *Server) keepPhoto(_ http.ResponseWriter, r *http.Request) (any, error) {
	n, err := number(r.PathValue("record"))
	if err != nil {
		return nil, err
	}
	id, of := logbook.ID(n), r.PathValue("of")
	p := logbook.Photo{Name: "from the bench"}
	var there func(*logbook.Tx) error
	switch of {
	case "trial":
		p.Trial, there = id, func(t *logbook.Tx) error { _, err := logbook.Get[logbook.Trial](r.Context(), t, id); return err }
	case "fault":
		p.Fault, there = id, func(t *logbook.Tx) error { _, err := logbook.Get[logbook.Fault](r.Context(), t, id); return err }
	case "revision":
		p.Revision, there = id, func(t *logbook.Tx) error { _, err := logbook.Get[logbook.Revision](r.Context(), t, id); return err }
	default:
		return nil, bad("A photo is of a trial, a fault or a revision, not of %q.", of)
	}
	out := Done{}
	err = s.withBook(r.Context(), func(b *logbook.Book) error {
		deed, err := b.Do(r.Context(), fmt.Sprintf("photo of %s %d from the bench", of, id), func(t *logbook.Tx) error {
			if err := there(t); err != nil {
				return err
			}
			return logbook.KeepPhoto(t, r.Body, &p)
		})
		out = Done{int64(p.ID), int64(deed)}
		return err
	})
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return nil, large
	}
	if err != nil {
		return nil, asked422(err)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return out, nil
}

func number(text string) (int64, error) {
	var n int64
	if _, err := fmt.Sscanf(text, "%d", &n); err != nil || n <= 0 || fmt.Sprint(n) != text {
		return 0, bad("%q is no number of a record.", text)
	}
	return n, nil
}

// photo sends the small picture of a photo.
func (s *Server) photo(w http.ResponseWriter, r *http.Request) (any, error) {
	return s.sendPhoto(w, r, func(b *logbook.Book, p *logbook.Photo) (string, string) { return b.ThumbFile(p), "image/jpeg" })
}

// wholePhoto sends a photo as it was kept.
func (s *Server) wholePhoto(w http.ResponseWriter, r *http.Request) (any, error) {
	return s.sendPhoto(w, r, func(b *logbook.Book, p *logbook.Photo) (string, string) { return b.PhotoFile(p), p.Media })
}

func (s *Server) sendPhoto(w http.ResponseWriter, r *http.Request, file func(*logbook.Book, *logbook.Photo) (path, media string)) (any, error) {
	id, err := number(r.PathValue("photo"))
	if err != nil {
		return nil, err
	}
	return nil, s.lookBook(r.Context(), func(b *logbook.Book) error {
		p, err := logbook.Get[logbook.Photo](r.Context(), b, logbook.ID(id))
		if err != nil {
			return gone("There is no such photo.")
		}
		path, media := file(b, &p)
		switch media {
		case "image/jpeg", "image/png", "image/gif":
		default: // a row that another program wrote
			return bad("That photo is no picture.")
		}
		// a link would lead out of the folder of the photos
		if info, err := os.Lstat(path); err != nil || !info.Mode().IsRegular() {
			return gone("The file of that photo is not there; feint log examine tells more.")
		}
		w.Header().Set("Content-Type", media)
		w.Header().Set("Cache-Control", "private, max-age=86400")
		http.ServeFile(w, r, path)
		return nil
	})
}
