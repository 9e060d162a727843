// Package schema holds the JSON Schemas (draft 2020-12) of feint's JSON outputs.
package schema

import _ "embed"

// Prove is the schema of the document of `feint prove --json`.
//
//go:embed prove.schema.json
var Prove []byte

// Printing is the schema of the document of `feint printing --json`.
//
//go:embed printing.schema.json
var Printing []byte

// Yield is the schema of the document of `feint yield --json`.
//
//go:embed yield.schema.json
var Yield []byte
