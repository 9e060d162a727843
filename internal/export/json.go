package export

import (
	"encoding/json"
	"fmt"
	"io"
)

// WriteJSON writes d as one indented JSON document with a newline at its end.
// Same document, same bytes.
func WriteJSON(w io.Writer, d *Document) error { return writeJSON(w, d) }

// WriteHandlingJSON writes the field handling of d as a document of its own, null
// where it was not asked.
func WriteHandlingJSON(w io.Writer, d *Document) error { return writeJSON(w, d.Handling) }

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	return nil
}
