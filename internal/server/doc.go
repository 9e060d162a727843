// Package server is the local page of feint: it serves the bench to a browser on
// this machine and answers it from the same stages as the command line.
//
// It listens on a loopback address only. A browser enters with the secret of this
// start, which travels in the fragment of the address (never sent, never logged),
// and is given a session cookie for it. Host and Origin are checked on every
// request, bodies are limited, the content policy lets the page load nothing but
// itself, and no name leads out of the folder of the designs. It never writes a
// design over a newer one: who saves must say which text was read.
//
// The page computes no engineering number. Lengths are mm and angles degrees on
// the wire. routes.go is the table of what can be asked; docs/openapi.json and
// the page's types are generated from it (gen).
package server

//go:generate go run ./gen
