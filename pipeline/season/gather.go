package season

import (
	"cmp"
	"encoding/binary"
	"errors"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/succession"
	"spadefoot/pipeline/store"
)

// Gatherer gathers what the results are made from, in bounded memory.
type Gatherer struct {
	settings Settings
	terms    succession.Terms // by their places in what is stated

	groups  map[string]*animals // in memory, by species, sex, stage, season and site
	caught  map[string]*caught  // in memory, by season, site, mark of what follows, effort or species
	held    int                 // values that they take the memory of
	animals *store.Sorted       // those groups, packed
	nights  *store.Sorted
	lives   *store.Sorted
	life    map[int]int  // of a capture of an animal that was caught again, the first of them
	again   map[int]bool // captures of an animal that was caught before in the same season
	left    map[omitted]int
	units   map[string]string // of each measurement
	names   []string          // of the measurements
	numbers map[string]int    // of the names
	grown   map[string]bool   // measurements of animals that were caught again

	counted int     // captures
	one     []size  // of the capture in hand
	column  []value // of a group in hand
	counts  []valued
	pack    []byte
	key     []byte
}

// omitted is what was left out, and why.
type omitted struct{ what, why string }

// Begin begins to gather. Files are made in the folder, in the system's if it is
// empty, and go with Close.
func Begin(folder string, s Settings) *Gatherer {
	return &Gatherer{settings: s, terms: succession.By(termIndex), groups: map[string]*animals{}, caught: map[string]*caught{}, animals: store.NewSorted(folder), nights: store.NewSorted(folder), lives: store.NewSorted(folder),
		life: map[int]int{}, again: map[int]bool{}, left: map[omitted]int{}, units: map[string]string{}, numbers: map[string]int{}, grown: map[string]bool{}}
}

// Close takes the files away.
func (g *Gatherer) Close() error {
	if g == nil {
		return nil
	}
	return errors.Join(g.animals.Close(), g.nights.Close(), g.lives.Close())
}

// Follow takes note of the captures of one mark, with their ordinals in the
// survey, before any of them is added. It keeps some dozens of bytes for each.
func (g *Gatherer) Follow(captures []*record.Capture, ordinals []int) {
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
func (g *Gatherer) Add(ordinal int, c *record.Capture, doubts *Doubts) error {
	g.counted++
	d := doubts.of(c.Address())
	t := g.statedBy(c)
	on := g.settings.dayOf(t.text(statedDate))
	by, rule := groupOf(&t, &d, on)
	if rule != "" {
		g.left[omitted{"capture", strings.Clone(rule)}]++
		return nil
	}
	a := g.groupIn(&by)
	if g.addNight(&t, a, on); t.absent() {
		return g.putMany()
	}
	g.one = sizesOf(c, &d, g.one[:0])
	if first, followed := g.life[ordinal]; followed {
		if err := g.addLife(first, ordinal, c, &by, &d); err != nil {
			return err
		}
	}
	if g.again[ordinal] {
		g.left[omitted{"capture", "already caught in the same season; not counted among animals and sizes"}]++
		return g.putMany()
	}
	g.addAnimal(a, countOf(&t))
	return g.putMany()
}

// addLife keeps a line of a capture of an animal that was caught again, under
// the first of its captures and in the order of their dates.
func (g *Gatherer) addLife(first, ordinal int, c *record.Capture, by *group, d *rowDoubts) error {
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
