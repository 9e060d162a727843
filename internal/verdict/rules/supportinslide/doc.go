// Package supportinslide is the rule support-in-slide; doc.md says what it finds and why.
package supportinslide
