package season

import (
	"cmp"
	"encoding/binary"
	"errors"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
)

// Gather gathers what the results are made from, in bounded memory.
type Gather struct {
	settings Settings

	groups  map[string]*animals // in memory, by species, sex, stage, season and site
	held    int                 // values that they take the memory of
	sizes   *store.Sorted       // values by measurement, species, sex, stage, season, site
	animals *tally              // species, stage, season, site, sex
	nights  *tally              // season, night, site, mark of what follows, effort or species
	lives   *store.Sorted
	life    map[int]int  // of a capture of an animal that was caught again, the first of them
	again   map[int]bool // captures of an animal that was caught before in the same season
	left    map[omitted]int
	units   map[string]string // of each measurement
	names   map[string]string // of the measurements, to themselves
	grown   map[string]bool   // measurements of animals that were caught again

	counted int     // captures
	one     []size  // of the capture in hand
	column  []value // of a group in hand
	key     []byte
}

// omitted is what was left out, and why.
type omitted struct{ what, why string }

// Begin begins to gather. Files are made in the folder, in the system's if it is
// empty, and go with Close.
func Begin(folder string, s Settings) *Gather {
	return &Gather{settings: s, groups: map[string]*animals{}, sizes: store.NewSorted(folder), animals: newTally(folder), nights: newTally(folder), lives: store.NewSorted(folder),
		life: map[int]int{}, again: map[int]bool{}, left: map[omitted]int{}, units: map[string]string{}, names: map[string]string{}, grown: map[string]bool{}}
}

// Close takes the files away.
func (g *Gather) Close() error {
	if g == nil {
		return nil
	}
	return errors.Join(g.sizes.Close(), g.animals.close(), g.nights.close(), g.lives.Close())
}

// Follow takes note of the captures of one mark, with their ordinals in the
// survey, before any of them is added. It keeps some dozens of bytes for each.
func (g *Gather) Follow(captures []*record.Capture, ordinals []int) {
	if len(captures) < 2 {
		return
	}
	order := make([]int, len(captures))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		x, y := captures[a], captures[b]
		return cmp.Or(strings.Compare(x.Get("eventDate"), y.Get("eventDate")), strings.Compare(x.Get("eventTime"), y.Get("eventTime")), ordinals[a]-ordinals[b])
	})
	seen := map[string]bool{}
	first := slices.Min(ordinals)
	for _, i := range order {
		season := g.settings.seasonOf(captures[i].Get("eventDate"))
		g.life[ordinals[i]] = first
		if seen[season] {
			g.again[ordinals[i]] = true
		}
		seen[season] = true
	}
}

// Add takes a capture in, whose ordinal in the survey is given. Rows that say
// that nothing was found count as nights.
func (g *Gather) Add(ordinal int, c *record.Capture, doubts *Doubts) error {
	g.counted++
	d := doubts.of(c.Address())
	t := toldBy(c)
	by, rule := g.settings.groupOf(&t, &d)
	if rule != "" {
		g.left[omitted{"capture", strings.Clone(rule)}]++
		return nil
	}
	if err := g.addNight(&t, &by); err != nil || t.absent() {
		return err
	}
	g.one = sizesOf(c, &d, g.one[:0])
	if first, followed := g.life[ordinal]; followed {
		if err := g.addLife(first, ordinal, c, &by, &d); err != nil {
			return err
		}
	}
	if g.again[ordinal] {
		g.left[omitted{"capture", "already caught in the same season; not counted among animals and sizes"}]++
		return nil
	}
	return g.addAnimal(&by, countOf(&t))
}

// The marks of what is counted of a night, in the order in which they are read.
const (
	nightEffort  = "1"
	nightSpecies = "2"
	nightNobody  = "3" // nothing was found
)

func (g *Gather) addNight(t *told, by *group) error {
	night := nightOf(t.text(toldDate), t.text(toldTime), g.settings.Night)
	if night == "" || by.site == inDoubt {
		g.left[omitted{"night", "no full date, or a site in doubt"}]++
		return nil
	}
	season := g.settings.seasonOf(night)
	add := func(mark, word string, n int) error {
		g.key = appendWords(g.key[:0], season, night, by.site, mark, word)
		return g.nights.add(g.key, n)
	}
	if e, stated := effortOf(t); stated {
		if err := add(nightEffort, strconv.FormatFloat(e.amount, 'g', -1, 64)+" "+e.unit, 1); err != nil {
			return err
		}
	}
	if t.absent() {
		return add(nightNobody, "", 1)
	}
	return add(nightSpecies, by.species, countOf(t))
}

// addLife keeps a line of a capture of an animal that was caught again, under
// the first of its captures and in the order of their dates.
func (g *Gather) addLife(first, ordinal int, c *record.Capture, by *group, d *rowDoubts) error {
	mark := c.Value("organismID")
	if mark == nil || d.on(mark.From()) != "" {
		g.left[omitted{"capture of a marked animal", "the mark is in doubt"}]++
		return nil
	}
	date := c.Get("eventDate")
	key := binary.BigEndian.AppendUint64(nil, uint64(first))
	key = binary.BigEndian.AppendUint64(appendWords(key, date, c.Get("eventTime")), uint64(ordinal))
	line := appendWords(nil, mark.Text, c.Key, by.species, by.sex, by.stage, date, by.site)
	for i := range g.one {
		if s := &g.one[i]; s.n > 0 && !s.derived {
			if !g.grown[s.measurement] {
				g.grown[strings.Clone(s.measurement)] = true
			}
			line = appendWords(line, s.measurement, strconv.FormatFloat(s.mean(), 'g', -1, 64))
		}
	}
	return g.lives.Add(string(key), string(line))
}
