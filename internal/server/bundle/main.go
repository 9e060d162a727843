// Command bundle puts the page together: web/src with its packages becomes
// internal/server/page/built, which the program embeds. It runs in the root of the
// sources, after npm ci in web. The built page is not kept with the sources.
package main

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/evanw/esbuild/pkg/api"
)

// maxPacked is how large the page may be, compressed, bytes: what it may cost a
// browser to open it.
const maxPacked = 1_000_000

func main() {
	if err := bundle(); err != nil {
		fmt.Fprintln(os.Stderr, "bundle:", err)
		os.Exit(1)
	}
}

func bundle() error {
	const to = "internal/server/page/built"
	if _, err := os.Stat("web/node_modules/three"); err != nil {
		return errors.New("web/node_modules is not there; run npm ci in web, or make page")
	}
	r := api.Build(api.BuildOptions{
		EntryPoints: []string{"web/src/main.ts", "web/src/bench.css"}, Outdir: to, Bundle: true, Write: false,
		MinifySyntax: true, MinifyWhitespace: true, MinifyIdentifiers: true, Format: api.FormatESModule, Target: api.ES2022,
		LegalComments: api.LegalCommentsEndOfFile, LogLevel: api.LogLevelWarning,
	})
	if len(r.Errors) > 0 {
		return fmt.Errorf("%d errors", len(r.Errors))
	}
	if err := os.MkdirAll(to, 0o755); err != nil { //nolint:gosec // like any folder of the sources
		return err
	}
	total := 0
	for _, f := range r.OutputFiles {
		packed, err := pack(f.Contents)
		if err != nil {
			return err
		}
		total += len(packed)
		if err := put(filepath.Join(to, filepath.Base(f.Path)+".gz"), packed); err != nil {
			return err
		}
	}
	index, err := os.ReadFile("web/src/index.html")
	if err != nil {
		return err
	}
	if err := put(filepath.Join(to, "index.html"), index); err != nil {
		return err
	}
	fmt.Printf("page: %d bytes compressed\n", total+len(index))
	if total > maxPacked {
		return fmt.Errorf("the page has %d bytes compressed, more than %d", total, maxPacked)
	}
	return nil
}

func pack(raw []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	_, err = z.Write(raw)
	err = errors.Join(err, z.Close())
	return b.Bytes(), err
}

func put(name string, raw []byte) error {
	return os.WriteFile(name, raw, 0o644) //nolint:gosec // like any file of the sources
}
