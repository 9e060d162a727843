// Package playleak is the rule play-leak; doc.md says what it finds and why.
package playleak
