package screen

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// bags gathers, over all parts, the masses that were written without gross and
// bag, by session. Of more than maxUntared an even choice of sessions by hash is
// kept.
type bags struct {
	settings Settings
	words    words
	sessions map[uint64]*untared // by hash
	chosen   uint64              // sessions up to this hash
	masses   int
	settled  bool
	likely   map[record.Address]bool // masses that have the bag in more likely than not
	named    map[record.Address]bool // captures that a finding names
	findings []record.Finding
	share    *bagShare // that the single masses are judged by; nil where they show nothing
}

// maxUntared is the number of masses that are kept, some 250 bytes each.
const maxUntared = 1 << 17

func newBags(s Settings) *bags {
	return &bags{settings: s, words: words{}, sessions: map[uint64]*untared{}, chosen: math.MaxUint64,
		likely: map[record.Address]bool{}, named: map[record.Address]bool{}}
}

// untared weighs, for the masses of one session that were written without gross
// and bag, how many of them still have the bag in. A bag that is little beside
// the animal cannot be recognised in a single row; many rows together show that some
// were not tared. The share of them and a common shift of the session's masses
// (fat animals, a scale out of true) are unknown and summed over.
type untared struct {
	session string
	masses  []untaredMass
	none    float64 // posterior that all were tared
	number  float64 // expected number of those that were not
	low     int     // of which 90 % of the posterior lies between low and high
	high    int
}

// untaredMass is one mass that may have the bag in, and how its capture looks
// beside others of its kind: how its view changes with a shift of one cell.
type untaredMass struct {
	capture   record.Address
	at        record.Address
	key       string
	verbatim  string
	text      string // with its unit
	tared     string // the cell without the bag
	bag       float64
	value     float64
	square    float64
	gained    float64
	inverse   float64
	nu        float64
	cells     int
	posterior float64 // that the bag is in it
	left, net []float64
}

const (
	minUntared          = 4     // masses of a session
	minUntaredPosterior = 0.9   // from which a session is reported
	fewUntared          = 1.5   // expected number below which it is a matter of single rows
	gainBound           = 6     // of one mass at most, as a log: it may be wrong otherwise
	shiftSteps          = 6     // of the common shift, either way
	shiftStep           = 0.025 // of the log
	shareSteps          = 20    // of the share
)

// add takes in the masses of a part, as it looks by what is known of the survey.
func (b *bags) add(j *search) {
	for i := range j.sights {
		session, w := j.rows[i].capture.Session, j.rows[i].capture.Weighing
		if session == "" || w != nil && w.Gross != nil && w.Gross.Usable() {
			continue
		}
		mark := sessionMark(session)
		if mark > b.chosen {
			continue
		}
		m, ok := b.mass(j, j.sights[i].view, mark)
		if !ok {
			continue
		}
		u := b.sessions[mark]
		if u == nil {
			u = &untared{session: strings.Clone(session)}
			b.sessions[mark] = u
		}
		u.masses = append(u.masses, m)
		b.masses++
	}
	b.choose()
}

// mass returns the mass of an animal without gross, of a session, if it was written as
// such.
func (b *bags) mass(j *search, v *view, session uint64) (m untaredMass, ok bool) {
	if v == nil || len(v.cells) < 2 {
		return m, false
	}
	at := v.at(bodyMass)
	if at < 0 {
		return m, false
	}
	c := v.cells[at]
	r, of := c.first(), v.row.capture
	bag := j.f.tares.within(session, c.value)
	if r.Derived || c.explained || !(bag > 0) || c.value <= bag {
		return m, false
	}
	w := writtenOf(r)
	k := len(v.cells)
	return untaredMass{capture: b.words.address(of.Address()), at: b.words.address(r.From()), key: strings.Clone(of.Key), verbatim: strings.Clone(r.Verbatim),
		text: readingText(r), tared: w.as((c.value-bag)/w.factor, w.decimals), bag: bag, value: c.value,
		square: v.square, gained: v.gained[at], inverse: v.inverse[at*k+at], nu: v.nu, cells: k}, true
}

// settle weighs every session, once all parts were added, then what is left of the
// survey, and reports whether captures are to be judged anew by the result.
func (b *bags) settle(f *fitted) bool {
	if b.settled {
		return len(b.findings) > 0 || b.share != nil
	}
	b.settled = true
	var gains []float64 // of the masses of the sessions that are not reported
	for _, mark := range slices.Sorted(maps.Keys(b.sessions)) {
		u := b.sessions[mark]
		sorting.Func(u.masses, func(a, b untaredMass) int { return a.at.Compare(b.at) })
		if len(u.masses) >= minUntared {
			for i := range u.masses {
				u.masses[i].weigh()
			}
			if u.weigh(b.settings.Odds.Bags); 1-u.none >= minUntaredPosterior && u.number >= fewUntared {
				b.findings = append(b.findings, b.report(u))
				continue
			}
		}
		for i := range u.masses {
			gains = append(gains, u.masses[i].gain())
		}
	}
	b.share = f.learnShare(gains)
	return len(b.findings) > 0 || b.share != nil
}

// gain is how much likelier the mass is with a bag in it than without, as a log.
func (m *untaredMass) gain() float64 {
	lighter := math.Log((m.value - m.bag) / m.value)
	return likelihood(m.square+2*lighter*m.gained+lighter*lighter*m.inverse, m.cells, m.nu) - likelihood(m.square, m.cells, m.nu) - lighter
}

// weigh works out the likelihoods of a mass by every common shift, with the bag
// in and without.
func (m *untaredMass) weigh() {
	lighter := math.Log((m.value - m.bag) / m.value)
	after := func(shift float64) float64 {
		return likelihood(m.square+2*shift*m.gained+shift*shift*m.inverse, m.cells, m.nu)
	}
	for s := -shiftSteps; s <= shiftSteps; s++ {
		shift := shiftStep * float64(s)
		m.net = append(m.net, after(-shift))
		m.left = append(m.left, after(lighter-shift)-lighter) // the density of a mass with a bag in it
	}
}

// weigh works out the posterior on a grid of shares and shifts; prior is the
// chance that any bag of a session was left in.
func (u *untared) weigh(prior float64) {
	type point struct {
		share, log float64
		shift      int
	}
	var grid []point
	top := math.Inf(-1)
	for shift := range 2*shiftSteps + 1 {
		by := shiftStep * float64(shift-shiftSteps)
		for step := range shareSteps {
			p := point{share: float64(step) / shareSteps, shift: shift, log: math.Log(prior/(shareSteps-1)) - by*by/(2*blockSpread*blockSpread)}
			if step == 0 {
				p.log = math.Log1p(-prior) - by*by/(2*blockSpread*blockSpread)
			}
			for i := range u.masses {
				p.log += u.masses[i].log(p.share, shift)
			}
			grid, top = append(grid, p), max(top, p.log)
		}
	}
	sum := 0.0
	for i := range grid {
		grid[i].log = math.Exp(grid[i].log - top)
		sum += grid[i].log
	}
	number := make([]float64, len(u.masses)+1)
	for _, p := range grid {
		weight := p.log / sum
		if weight < 1e-9 {
			continue
		}
		if p.share == 0 {
			u.none += weight
		}
		count := []float64{1} // of those with the bag in, by this share and shift
		for i := range u.masses {
			m := &u.masses[i]
			in := m.in(p.share, p.shift)
			m.posterior += weight * in
			count = oneMore(count, in)
		}
		for n, c := range count {
			number[n] += weight * c
		}
	}
	below := 0.0
	u.low, u.high = -1, 0
	for n, p := range number {
		u.number += float64(n) * p
		below += p
		if u.low < 0 && below > 0.05 {
			u.low = n
		}
		if below-p < 0.95 {
			u.high = n
		}
	}
}

// oneMore returns the distribution of a number of successes after a trial more.
func oneMore(count []float64, p float64) []float64 {
	out := make([]float64, len(count)+1)
	for n, c := range count {
		out[n] += c * (1 - p)
		out[n+1] += c * p
	}
	return out
}

// log is the log likelihood of a mass where a share of the session's have the
// bag in, beside that of an animal well weighed.
func (m *untaredMass) log(share float64, shift int) float64 {
	base := m.net[shiftSteps]
	net, left := min(max(m.net[shift]-base, -gainBound), gainBound), min(max(m.left[shift]-base, -gainBound), gainBound)
	return math.Log((1-share)*math.Exp(net) + share*math.Exp(left))
}

// in is the posterior that the bag is in, by a share and a shift.
func (m *untaredMass) in(share float64, shift int) float64 {
	gain := min(max(m.left[shift]-m.net[shift], -gainBound), gainBound)
	left := share * math.Exp(gain)
	return left / (left + 1 - share)
}

// report writes one finding on the session: at the mass that has the bag in most
// probably, with the others that probably have it beside it.
func (b *bags) report(u *untared) record.Finding {
	n := len(u.masses)
	likely := slices.Clone(u.masses)
	sorting.StableFunc(likely, func(a, b untaredMass) int { return cmp.Compare(b.posterior, a.posterior) })
	likely = likely[:min(n, max(1, int(math.Round(u.number))))]
	first := &likely[0]
	out := record.Finding{Rule: "bags-left-in", Level: record.Warning, Field: bodyMass, Spread: record.Each,
		At: first.at, Capture: first.key, Value: first.verbatim,
		Group:     fmt.Sprintf("masses of session %s without gross and bag, n = %d", u.session, n),
		Reference: "Gelman et al., Bayesian Data Analysis, chapter 22"}
	if first.posterior >= b.settings.SuggestAbove {
		out.Suggestion = first.tared
	}
	var names, sizes []string
	for i := range likely {
		m := &likely[i]
		names = append(names, fmt.Sprintf("%s in row %d (%s)", m.text, m.at.Row, percent(m.posterior)))
		if size := figures(m.bag, 2); !slices.Contains(sizes, size) {
			sizes = append(sizes, size)
		}
		if i > 0 {
			out.Also = append(out.Also, m.at)
		}
		b.named[m.capture] = true
		if m.posterior > 0.5 {
			b.likely[m.at] = true
		}
	}
	sorting.Func(out.Also, record.Address.Compare)
	out.Figures = []record.Figure{{Name: "n", Value: float64(n)}, {Name: "value", Value: u.number}, {Name: "low", Value: float64(u.low)}, {Name: "high", Value: float64(u.high)},
		{Name: "threshold", Value: minUntaredPosterior}, {Name: "posterior", Value: 1 - u.none}}
	between := fmt.Sprintf("%d to %d", u.low, u.high)
	if u.low == u.high {
		between = fmt.Sprint(u.low)
	}
	out.Reason = fmt.Sprintf("of %d masses of this session written without gross and bag, some probably include the bag (about %s g): about %.0f, likely %s (probability %s that any does). Most likely: %s.",
		n, strings.Join(sizes, " or "), u.number, between, percent(1-u.none), strings.Join(names, ", "))
	return out
}

// choose leaves sessions out as long as there are too many masses.
func (b *bags) choose() {
	for {
		for mark, u := range b.sessions {
			if mark > b.chosen {
				b.masses -= len(u.masses)
				delete(b.sessions, mark)
			}
		}
		if b.masses <= maxUntared {
			return
		}
		b.chosen /= 2
	}
}

// merge takes in the masses of other parts.
func (b *bags) merge(o *bags) {
	for mark, from := range o.sessions {
		if u := b.sessions[mark]; u != nil {
			u.masses = append(u.masses, from.masses...)
		} else {
			b.sessions[mark] = from
		}
		b.masses += len(from.masses)
	}
	b.chosen = min(b.chosen, o.chosen)
	b.choose()
}
