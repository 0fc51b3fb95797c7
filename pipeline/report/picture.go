package report

import (
	"fmt"

	"spadefoot/pipeline/report/plot"
	"strconv"
	"sync"
)

// album is a kind of picture with the pictures of it.
type album struct {
	ID, Name string
	Hint     string // what to look for in each of them
	Pictures []plot.Picture
	large    bool // of a large survey
}

// add draws a scene as the album's next picture.
func (a *album) add(s plot.Scene) {
	if a.large {
		s.OfEntry = maxChosen
	}
	s.ID = fmt.Sprintf("%s-%d", a.ID, len(a.Pictures)+1)
	a.Pictures = append(a.Pictures, s.Picture())
}

// gallery is every picture of a page.
type gallery struct {
	albums  []album
	undrawn []string // what was left out, and why
	sample  int      // captures that they are drawn from, 0 for all
}

// Limits of the pictures, so that a page stays small enough to be sent by mail
// and to be opened on an old machine.
const (
	maxTaxa      = len(plot.Series) // taxa that differ in their marks
	maxMeasures  = 14
	maxObservers = 8
	maxSheets    = 8
	maxStrips    = 16 // rows in a picture of strips
)

// studio is what the pictures are drawn from.
type studio struct {
	*Gatherer
	names shortener
	left  []string
}

// pictures draws every picture that the captures have data for.
func (g *Gatherer) pictures(entries []*entry) gallery {
	if g.n == 0 {
		return gallery{}
	}
	if !g.large {
		for _, s := range g.kept {
			s.flags = nil
		}
		for _, e := range entries {
			for _, f := range e.Findings {
				e.take(f, g.own)
			}
		}
	}
	s := &studio{Gatherer: g, names: shortenerOf(g.taxa)}
	out := s.gallery((*studio).massOnLength, (*studio).strips, (*studio).species, (*studio).tares,
		(*studio).repeats, (*studio).digits, (*studio).places, (*studio).times)
	if g.large {
		out.sample = len(g.kept)
	}
	return out
}

// drawn reports whether a picture shows a capture of some strata: one that they
// have in the sample, or one that an entry of the page doubts.
func drawn(s *sketch, no int, limit uint64) bool { return s.hash <= limit || no > 0 }

// total is the number of marks that there would be without sample and thinning.
func (s *studio) total(marks []plot.Mark, counted int) int {
	if s.large {
		return max(len(marks), counted)
	}
	return len(marks)
}

// unitOf is the unit code of a reading.
func (s *studio) unitOf(r *reading) string { return s.units.All[r.unit] }

// gallery draws albums at once, each in its own studio.
func (s *studio) gallery(draw ...func(*studio) album) gallery {
	var g gallery
	studios, albums := make([]studio, len(draw)), make([]album, len(draw))
	var wait sync.WaitGroup
	for i := range draw {
		studios[i] = *s
		wait.Go(func() { albums[i] = draw[i](&studios[i]) })
	}
	wait.Wait()
	for i, a := range albums {
		if len(a.Pictures) > 0 {
			g.albums = append(g.albums, a)
		}
		g.undrawn = append(g.undrawn, studios[i].left...)
	}
	return g
}

func (s *studio) leftOut(format string, args ...any) {
	s.left = append(s.left, fmt.Sprintf(format, args...))
}

// link tells every entry where it can be seen.
func link(entries []*entry, g gallery) {
	for _, a := range g.albums {
		for _, p := range a.Pictures {
			for _, f := range p.Flags {
				e := entries[f.No-1]
				e.SeenIn = append(e.SeenIn, seen{f.Anchor, a.Name + ", " + p.Title})
			}
		}
	}
}

// figure writes a number for people: four significant digits.
func figure(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }

// signed writes a number within a sentence.
func signed(x float64) string { return plot.Minus(strconv.FormatFloat(x, 'g', 3, 64)) }

// InUnit writes a unit code beside a number: " (mm)".
func InUnit(code string) string {
	switch code {
	case "", "1":
		return ""
	case "[in_i]":
		code = "in"
	case "um":
		code = "µm"
	case "Cel":
		code = "°C"
	case "[ppth]":
		code = "‰"
	}
	return " (" + code + ")"
}
