package season

import (
	"errors"
	"slices"
	"strconv"
	"strings"
)

// Life is one capture of an animal that was caught more than once.
type Life struct {
	Mark, Capture, Species, Sex, Stage, Date, Site string
	Nth                                            int     // capture of the animal
	Days                                           int     // since the one before; -1 where that is not known
	Sizes                                          []Grown // by measurement, as in Results.Grown
}

// Grown is a size and by how much it changed a day since the capture before in
// which it was measured.
type Grown struct {
	Size   float64
	Known  bool
	PerDay float64
	Since  bool // PerDay is known
}

// lived is what is remembered of an animal while its captures come.
type lived struct {
	first string // the animal's number
	nth   int
	date  string
	last  []lastSize
}

type lastSize struct {
	known bool
	size  float64
	date  string
}

func (g *Gatherer) writeLives(create Create, r *Results) error {
	f, err := create.open("animals.csv", lifeColumns(r.Grown, r.Units))
	if err != nil {
		return err
	}
	var animal lived
	for e, err := range g.lives.All() {
		if err != nil {
			return errors.Join(err, f.close())
		}
		if first := e[0][:8]; animal.nth == 0 || animal.first != first {
			animal = lived{first: first, last: make([]lastSize, len(r.Grown))}
		}
		l := animal.next(e[1], r.Grown)
		keep(r, &r.Lives, l)
		if err := f.row(l.cells()...); err != nil {
			return errors.Join(err, f.close())
		}
	}
	return f.close()
}

// next is the next capture of the animal.
func (a *lived) next(line string, grown []string) Life {
	words := strings.Split(strings.TrimSuffix(line, end), end)
	l := Life{Mark: words[0], Capture: words[1], Species: words[2], Sex: words[3], Stage: words[4], Date: words[5], Site: words[6], Days: -1, Sizes: make([]Grown, len(grown))}
	a.nth++
	l.Nth = a.nth
	if days, known := daysBetween(a.date, l.Date); known {
		l.Days = days
	}
	a.date = l.Date
	for i := 7; i+1 < len(words); i += 2 {
		k := slices.Index(grown, words[i])
		size, err := strconv.ParseFloat(words[i+1], 64)
		if k < 0 || err != nil {
			continue
		}
		s, last := &l.Sizes[k], &a.last[k]
		s.Size, s.Known = size, true
		if days, known := daysBetween(last.date, l.Date); known && last.known && days > 0 {
			s.PerDay, s.Since = (size-last.size)/float64(days), true
		}
		*last = lastSize{true, size, l.Date}
	}
	return l
}

func (l *Life) cells() []string {
	days := ""
	if l.Days >= 0 {
		days = whole(l.Days)
	}
	cells := []string{l.Mark, l.Capture, l.Species, l.Sex, l.Stage, l.Date, l.Site, whole(l.Nth), days}
	for _, s := range l.Sizes {
		size, day := "", ""
		if s.Known {
			size = Figure(s.Size)
		}
		if s.Since {
			day = Figure(s.PerDay)
		}
		cells = append(cells, size, day)
	}
	return cells
}
