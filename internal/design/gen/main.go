// Command gen writes the reference of the design language to the file that it
// is given; see the go:generate line of internal/design.
package main

import (
	"fmt"
	"os"

	"feint/internal/design"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: gen FILE")
		os.Exit(2)
	}
	if err := os.WriteFile(os.Args[1], []byte(design.Reference()), 0o644); err != nil { //nolint:gosec // a page that everybody may read
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
