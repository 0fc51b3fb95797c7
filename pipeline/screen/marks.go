package screen

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
)

// Marks follows each mark (organismID) through its captures in the order of
// their dates, in the whole survey. Each capture is added with its ordinal in
// the survey; Pairs then names the pairs of neighbours in which something may
// not go together, to be fetched and handed to Follow. It keeps some hundred
// bytes per marked capture, in a file once they are many. Dates are ordered by
// their first 255 bytes.
type Marks struct {
	spill    spill
	sheets   sheets
	number   map[string]uint32 // of measurements
	record   []byte
	builder  rowBuilder
	scope    markScope
	j        follower
	found    *foundMarks // by other machines
	doubted  map[uint64]*onTwoDays
	peculiar peculiar
}

// NewMarks starts the search. Files are made in the folder; without one
// everything is kept in memory.
func NewMarks(folder string) *Marks {
	return &Marks{spill: spill{folder: folder, most: maxHeld}, number: map[string]uint32{}}
}

// Add takes a capture in. Ordinals are the caller's and need not be in order.
func (m *Marks) Add(ordinal int, c *record.Capture) error {
	mark := c.Mark()
	if mark == "" {
		return nil
	}
	group := digest.Spread(hash(mark))
	b := appendStanding(m.record[:0], group, ordinal, &m.sheets, c)
	b = append(b, sexOf(c))
	b = binary.LittleEndian.AppendUint64(b, hashOrNone(c.Kind()))
	b = binary.LittleEndian.AppendUint64(b, hashOrNone(c.Get("locality")))
	b = binary.LittleEndian.AppendUint64(b, observerNamed(c.Get("recordedBy")))
	date := c.Get("eventDate")
	date = date[:min(len(date), 255)]
	b = append(append(b, byte(len(date))), date...)
	count := len(b)
	b = append(b, 0)
	r := m.builder.row(c)
	for i := range r.cells {
		if cell := &r.cells[i]; cell.kind == length && b[count] < 255 {
			b[count]++
			b = binary.LittleEndian.AppendUint32(b, m.numberOf(cell.measurement))
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(math.Log(cell.value)))
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(cell.resolution)))
		}
	}
	m.builder.reset()
	m.record = b
	return m.spill.add(group, b)
}

func (m *Marks) numberOf(measurement string) uint32 {
	n, ok := m.number[measurement]
	if !ok {
		n = numberOf(measurement)
		m.number[strings.Clone(measurement)] = n
	}
	return n
}

// numberOf is the number that a measurement goes by, the same on every machine.
func numberOf(measurement string) uint32 { return uint32(digest.Spread(hash(measurement))) }

func sexOf(c *record.Capture) byte {
	switch sex := c.Get("sex"); {
	case strings.EqualFold(sex, "male"):
		return 'm'
	case strings.EqualFold(sex, "female"):
		return 'f'
	}
	return 0
}

func hashOrNone(s string) uint64 {
	if s == "" {
		return 0
	}
	return hash(s) | 1
}

// markedCapture is one capture of a mark.
type markedCapture struct {
	standing
	sex         byte
	name, place uint64
	observer    uint64
	date        []byte
	lengths     []markedLength
}

type markedLength struct {
	measurement     uint32
	log, resolution float64
}

const markedLengthSize = 4 + 8 + 4

// parseMarked reads the records of a drawer into memory that is there.
func parseMarked(b []byte, ranks []int, all []markedCapture, lengths []markedLength) ([]markedCapture, []markedLength) {
	lengths = slices.Grow(lengths, len(b)/markedLengthSize) // they must not move
	for len(b) > 0 {
		c := markedCapture{standing: standingOf(b, ranks)}
		b = b[standingSize:]
		c.sex, c.name, c.place = b[0], binary.LittleEndian.Uint64(b[1:]), binary.LittleEndian.Uint64(b[9:])
		c.observer = binary.LittleEndian.Uint64(b[17:])
		to := 26 + int(b[25])
		c.date = b[26:to]
		n, from := int(b[to]), len(lengths)
		b = b[to+1:]
		for range n {
			lengths = append(lengths, markedLength{binary.LittleEndian.Uint32(b), math.Float64frombits(binary.LittleEndian.Uint64(b[4:])),
				float64(math.Float32frombits(binary.LittleEndian.Uint32(b[12:])))})
			b = b[markedLengthSize:]
		}
		c.lengths = lengths[from:]
		all = append(all, c)
	}
	return all, lengths
}

// Pairs lists the pairs of ordinals, the earlier capture first, that Follow may
// find something in or that may be unusual in the same way, in the order of the
// survey. It counts all pairs, which Follow's limits depend on. sum is what captures
// are judged by.
func (m *Marks) Pairs(sum *Summary, limits []Limit, s Settings) ([][2]int, error) {
	m.doubted, m.peculiar = nil, peculiar{}
	if m.found != nil {
		m.learn(m.found.signs, sum, limits, s)
		m.j.pairs = m.found.all
		return m.found.pairs, nil
	}
	if err := m.count(); err != nil {
		return nil, err
	}
	m.scope.settle()
	signs, err := m.signs()
	if err != nil {
		return nil, err
	}
	m.learn(signs, sum, limits, s)
	pairs, all, err := m.suspects()
	m.j.pairs = all
	inTurn(pairs)
	return pairs, err
}

// count counts the pairs of neighbours that contradict each other.
func (m *Marks) count() error {
	m.scope = markScope{first: -1}
	return m.each(m.scope.add, nil)
}

// suspects are the pairs that Follow may find something in, and how many pairs
// there are.
func (m *Marks) suspects() (pairs [][2]int, all int, err error) {
	f := m.j.sum.fitFor(m.j.settings)
	least, lines := m.minChange(), linesOf(f)
	err = m.each(func(a, b *markedCapture) {
		all++
		if a.suspicious(b, least) || lines.unlike(a, b, &least) || lines.peculiar(a, b) {
			pairs = append(pairs, [2]int{a.ordinal, b.ordinal})
		}
	}, nil)
	return pairs, all, err
}

// each hands over the pairs of neighbours of each mark, the earlier first, and
// the last capture of each mark.
func (m *Marks) each(pair func(a, b *markedCapture), last func(c *markedCapture)) error {
	ranks := m.sheets.ranks()
	var all []markedCapture
	var lengths []markedLength
	return m.spill.each(func(b []byte) {
		all, lengths = parseMarked(b, ranks, all[:0], lengths[:0])
		sorting.Func(all, func(a, b markedCapture) int {
			return cmp.Or(cmp.Compare(a.group, b.group), m.scope.compare(&a, &b), bytes.Compare(a.date, b.date), a.compareRows(&b.standing))
		})
		one := func(a, b *markedCapture) bool { return a.group == b.group && m.scope.compare(a, b) == 0 }
		for i := range all {
			if i > 0 && one(&all[i-1], &all[i]) {
				pair(&all[i-1], &all[i])
			}
			if last != nil && (i == len(all)-1 || !one(&all[i], &all[i+1])) {
				last(&all[i])
			}
		}
	})
}

// length returns the log of a measurement by its number.
func (a *markedCapture) length(measurement uint32) (float64, bool) {
	for _, l := range a.lengths {
		if l.measurement == measurement {
			return l.log, true
		}
	}
	return 0, false
}

// sameAnimal reports whether nothing but size speaks against one animal.
func (a *markedCapture) sameAnimal(b *markedCapture) bool {
	return (a.sex == b.sex || a.sex == 0 || b.sex == 0) && (a.name == b.name || a.name == 0 || b.name == 0)
}

// markSigns is what the recaptures themselves show: how well lengths repeat, how
// fast animals grow, which marks there are, and how many were read on the same two
// days.
type markSigns struct {
	Again map[uint32]*statistics.Sample
	Grown map[uint64]*recaptured
	Rates map[uint32]*statistics.Sample // log growth per day of each measurement beyond what errors make, in thousandths
	Known knownMarks
	Days  map[uint64]int
}

func newMarkSigns() *markSigns {
	return &markSigns{map[uint32]*statistics.Sample{}, map[uint64]*recaptured{}, map[uint32]*statistics.Sample{}, knownMarks{}, map[uint64]int{}}
}

// count counts the pairs of two days. Of more days than maxMarks none is counted to
// the end.
func (g *markSigns) count(days uint64, pairs int) {
	if _, there := g.Days[days]; days != 0 && (there || len(g.Days) < maxMarks) {
		g.Days[days] += pairs
	}
}

// sampleOf returns the sample of a measurement, a new one at first.
func sampleOf(all map[uint32]*statistics.Sample, measurement uint32) *statistics.Sample {
	s := all[measurement]
	if s == nil {
		s = &statistics.Sample{}
		all[measurement] = s
	}
	return s
}

// signs gathers them.
func (m *Marks) signs() (*markSigns, error) {
	g, body := newMarkSigns(), numberOf(bodyLength)
	return g, m.each(func(a, b *markedCapture) {
		g.count(daysOf(string(a.date), string(b.date)), 1)
		days, known := daysBetween(string(a.date), string(b.date))
		if !known || !a.sameAnimal(b) {
			return
		}
		if days <= sameSize && a.observer == b.observer {
			for _, y := range b.lengths {
				if x, ok := a.length(y.measurement); ok && math.Abs(y.log-x) <= farRepeat {
					sampleOf(g.Again, y.measurement).Add(math.Abs(y.log - x))
				}
			}
		}
		if days > sameSize {
			for _, y := range b.lengths {
				if x, ok := a.length(y.measurement); ok {
					sampleOf(g.Rates, y.measurement).Add(math.Round(1000 * max(0, min((y.log-x-growthForSure)/days, 1))))
				}
			}
		}
		x, ok := a.length(body)
		if y, both := b.length(body); ok && both {
			if g.Grown[b.name] == nil {
				g.Grown[b.name] = &recaptured{}
			}
			g.Grown[b.name].add(math.Exp(x), math.Exp(y), days)
		}
	}, g.Known.add)
}

// learn takes over what the recaptures show.
func (m *Marks) learn(g *markSigns, sum *Summary, limits []Limit, s Settings) {
	m.j = follower{settings: s, sum: sum, limits: limits, tem: map[string]float64{}, known: g.Known, days: g.Days,
		growths: newGrowths(sum.fitFor(s), g.Grown), again: map[string]*statistics.Sample{}}
	for name := range sum.measurements {
		if again := g.Again[numberOf(name)]; again != nil {
			m.j.again[name] = again
		}
		if rates := g.Rates[numberOf(name)]; rates != nil {
			m.j.growths.learnRate(name, rates)
		}
	}
}

// sameSize is the number of days in which an animal is of one size.
const sameSize = 2

// Follow compares two captures of one mark that Pairs named, the earlier first. Once
// all of them went through Doubt, marks that were handed out again are one finding.
func (m *Marks) Follow(a, b *record.Capture) []record.Finding {
	if fs, some := m.reused(a, b); some {
		return fs
	}
	return m.j.follow(b.Get("organismID"), a, b)
}

// Close removes the file, if there is one.
func (m *Marks) Close() error { return m.spill.Close() }

// minChange is the least that a length may change by, by number of the
// measurement.
type minChange struct {
	tem     map[uint32]float64
	bias    map[uint32]float64 // that two hands may differ by at most
	rate    map[uint32]float64 // mm per day by the limits, the least of all taxa; infinite where there is none
	growths *growths
	body    uint32 // number of the body length
}

func (m *Marks) minChange() minChange {
	l := minChange{map[uint32]float64{}, map[uint32]float64{}, map[uint32]float64{}, m.j.growths, numberOf(bodyLength)}
	for name := range m.j.sum.measurements {
		n := numberOf(name)
		l.tem[n], l.bias[n] = m.j.minError(name)
		l.rate[n] = math.Inf(1)
		for i := range m.j.limits {
			if lim := &m.j.limits[i]; lim.growth(name) {
				l.rate[n] = min(l.rate[n], *lim.Maximum)
			}
		}
	}
	return l
}

// suspicious reports whether two captures of a mark may not go together. It is
// never stricter than follow.
func (a *markedCapture) suspicious(b *markedCapture, least minChange) bool {
	if a.sex != b.sex && a.sex != 0 && b.sex != 0 || a.name != b.name && a.name != 0 && b.name != 0 ||
		a.place != b.place && a.place != 0 && b.place != 0 && bytes.Equal(a.date, b.date) {
		return true
	}
	days, known := daysBetween(string(a.date), string(b.date))
	if !known {
		return false
	}
	measured := slices.ContainsFunc(b.lengths, func(y markedLength) bool { return y.measurement == least.body })
	for _, y := range b.lengths {
		if measured && y.measurement != least.body {
			continue // the body length stands for the animal
		}
		for _, x := range a.lengths {
			if x.measurement == y.measurement && math.Abs(y.log-x.log) > least.of(b.name, x, y, days)*(1-1e-6) {
				return true
			}
		}
	}
	return false
}

func (l *minChange) of(taxon uint64, x, y markedLength, days float64) float64 {
	allowed := 1.96*math.Sqrt2*max(l.tem[x.measurement], x.resolution, y.resolution) - l.bias[x.measurement]
	if y.log <= x.log {
		return allowed
	}
	growth := l.growths.perDay * days
	if growth = math.Log1p(growth); x.measurement == l.body {
		growth, _ = l.growths.believed(taxon, math.Exp(x.log), days)
	}
	if rate := l.rate[x.measurement]; !math.IsInf(rate, 1) {
		growth = min(growth, math.Log1p(rate*days/math.Exp(x.log)))
	}
	return allowed + growth
}

// foundMarks is what other machines found.
type foundMarks struct {
	signs *markSigns
	pairs [][2]int
	all   int
}
