// Command gen writes what is made from the interface of the bench: its
// description (docs/openapi.json) and the types of the page (web/src/wire.ts). It
// runs in internal/server, by go generate.
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"feint/internal/server"
)

func main() {
	if err := write(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func write() error {
	doc, err := server.OpenAPI()
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.FromSlash("../../docs/openapi.json"), doc, 0o644); err != nil { //nolint:gosec // meant to be read by all
		return err
	}
	return os.WriteFile(filepath.FromSlash("../../web/src/wire.ts"), server.TypeScript(), 0o644) //nolint:gosec // as above
}
