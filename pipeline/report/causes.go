package report

import (
	"html/template"
	"strings"

	"spadefoot/pipeline/record"
)

// Cause is what the page tells as one: findings that come from it, the leading
// one first, the most consequential cause first.
type Cause struct {
	No       int // as pictures have it
	Findings []*record.Finding
	Touched  int // captures
}

// Causes are the causes that were gathered. Of a large survey those are the first
// ones, with the findings that the page tells.
func (g *Gatherer) Causes() []Cause {
	var out []Cause
	for _, e := range g.entries() {
		out = append(out, Cause{e.No, e.Findings, e.touched})
	}
	return out
}

// Picture is a drawing of the page.
type Picture struct {
	Title, Caption string
	SVG            template.HTML
	shows          map[int]bool
}

// Shows reports whether a cause has a mark in the picture.
func (p *Picture) Shows(no int) bool { return p.shows[no] }

// Pictures draws every picture of the page. The marks of a cause lead to the
// address of that name followed by its number.
func (g *Gatherer) Pictures(address string) []Picture {
	var out []Picture
	for _, a := range g.pictures(g.entries()).albums {
		for _, p := range a.Pictures {
			one := Picture{Title: a.Name + ", " + p.Title, Caption: p.Caption, shows: map[int]bool{},
				SVG: template.HTML(strings.ReplaceAll(string(p.SVG), ` href="#finding-`, ` href="`+template.HTMLEscapeString(address)))}
			for _, f := range p.Flags {
				one.shows[f.No] = true
			}
			out = append(out, one)
		}
	}
	return out
}
