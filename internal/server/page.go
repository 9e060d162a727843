package server

import (
	"bytes"
	"embed"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
)

// The page, where it was built before the program was: page/built is not kept
// with the sources. Without it page/unbuilt.html tells how to build it.
//
//go:embed all:page
var pageFiles embed.FS

// page is what a browser loads.
type page struct {
	built bool
	files fs.FS
	index []byte // with nonceMark where the nonce of a load goes
}

const nonceMark = "%NONCE%"

func openPage() (page, error) {
	if index, err := pageFiles.ReadFile("page/built/index.html"); err == nil {
		files, err := fs.Sub(pageFiles, "page/built")
		return page{built: true, files: files, index: index}, err
	}
	index, err := pageFiles.ReadFile("page/unbuilt.html")
	return page{index: index}, err
}

// handler serves the page. What it loads is packed: all of it was compressed when
// it was built.
func (p page) handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
		if name == "" || name == "index.html" {
			nonce := random(16)
			w.Header().Set("Content-Security-Policy", contentPolicy(nonce))
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			_, _ = w.Write(bytes.ReplaceAll(p.index, []byte(nonceMark), []byte(nonce)))
			return
		}
		if p.files == nil || !fs.ValidPath(name) {
			http.NotFound(w, r)
			return
		}
		p.send(w, r, name)
	})
}

// send sends a file, packed if it is there packed and the browser takes it.
func (p page) send(w http.ResponseWriter, r *http.Request, name string) {
	raw, err := fs.ReadFile(p.files, name+".gz")
	if err != nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", mime.TypeByExtension(path.Ext(name)))
	if strings.HasSuffix(name, ".js") {
		w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	}
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("Content-Encoding", "gzip")
	_, _ = w.Write(raw)
}
