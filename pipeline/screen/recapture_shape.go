package screen

import (
	"fmt"
	"iter"
	"math"

	"spadefoot/pipeline/record"
)

const (
	otherAnimal       = 0.02 // of recaptures: the mark was misread or used again (common practice)
	minOtherPosterior = 0.8  // from which it is reported
	minCompared       = 4    // measurements beside the size
	slipShare         = 0.02 // of measurements that are wrong in one of the captures
	slipWidth         = 0.5  // and by how much, as a standard deviation of the log
	sizeShift         = 0.01 // step of what all lengths may differ by, since the size they are held against was misread
	sizeShifts        = 15   // steps either way
)

// shape weighs whether two captures of one mark are of one animal by their
// proportions: how far each length lies from its line on the size, which an
// animal keeps as it grows. Two captures of one animal differ by error alone, two
// animals by the scatter of their kind as well; one length in fifty may be wrong.
// It returns the posterior that they are two, and of how many lengths.
func (j *follower) shape(a, b *record.Capture) (posterior float64, n int) {
	f := j.sum.fitFor(j.settings)
	ra, rb := rowOf(a), rowOf(b)
	m := f.models[rb.taxon]
	if m == nil || ra.taxon != rb.taxon {
		return 0, 0
	}
	f.resolve(ra)
	f.resolve(rb)
	from, to := ra.find(m.names[0]), rb.find(m.names[0])
	if from == nil || to == nil {
		return 0, 0
	}
	var all []difference
	for k := 1; k < len(m.names); k++ {
		l := &m.lines[k]
		x, y := ra.find(m.names[k]), rb.find(m.names[k])
		if x == nil || y == nil || x.kind != length || l.slope == 0 || l.n < firmlyMeasured {
			continue
		}
		limit := j.limit(f, x, y, observerOf(x.first(), ra.hand), observerOf(y.first(), rb.hand))
		all = append(all, differenceOf(y.log-x.log-limit.bias-(l.rise(to.log)-l.rise(from.log)), limit.plain/1.96, l))
	}
	return twoAnimals(all), len(all)
}

// difference is how much farther from its line one length lies in one capture
// than in the other, with the standard deviations of one animal and of two.
type difference struct{ log, same, two float64 }

func differenceOf(log, spread float64, l *line) difference {
	return difference{log, spread, math.Hypot(spread, math.Sqrt2*l.scale)}
}

// twoAnimals is the posterior that differences are of two animals; 0 where they
// are too few to tell. What all have in common is left open: it is as likely the
// size that they are held against.
func twoAnimals(all []difference) float64 {
	if len(all) < minCompared {
		return 0
	}
	one, two := math.Inf(-1), math.Inf(-1)
	for step := -sizeShifts; step <= sizeShifts; step++ {
		shift := sizeShift * float64(step)
		p := normal(shift, sizeShift*sizeShifts/3)
		q := p
		for _, d := range all {
			wide := slipShare * math.Exp(normal(d.log, slipWidth))
			p += math.Log((1-slipShare)*math.Exp(normal(d.log-shift, d.same)) + wide)
			q += math.Log((1-slipShare)*math.Exp(normal(d.log-shift, d.two)) + wide)
		}
		one, two = logSum(one, p), logSum(two, q)
	}
	odds := otherAnimal / (1 - otherAnimal) * math.Exp(two-one)
	return odds / (1 + odds)
}

// knownLines are the lines of the taxa, by hash of the name, for captures of which
// only the lengths are kept.
type knownLines map[uint64]taxonLines

type taxonLines struct {
	size uint32 // number of the measurement
	of   map[uint32]*line
}

func linesOf(f *fitted) knownLines {
	all := knownLines{}
	for name, model := range f.models {
		t := taxonLines{size: numberOf(model.names[0]), of: map[uint32]*line{}}
		for k := 1; k < len(model.names); k++ {
			if l := &model.lines[k]; l.slope != 0 && l.n >= firmlyMeasured {
				t.of[numberOf(model.names[k])] = l
			}
		}
		all[hashOrNone(name)] = t
	}
	return all
}

// offLine is a length that two captures of one kind have: how far above the intercept of
// its line it is at either.
type offLine struct {
	*line
	before, after float64
}

// common yields what two captures have in common, by the later one.
func (k knownLines) common(a, b *markedCapture) iter.Seq2[markedLength, offLine] {
	return func(yield func(markedLength, offLine) bool) {
		t, ok := k[b.name]
		from, first := a.length(t.size)
		to, second := b.length(t.size)
		if !ok || a.name != b.name || !first || !second {
			return
		}
		for _, y := range b.lengths {
			x, taken := a.length(y.measurement)
			if l := t.of[y.measurement]; taken && l != nil && !yield(y, offLine{l, x - l.rise(from), y.log - l.rise(to)}) {
				return
			}
		}
	}
}

// unlike reports whether two captures may differ in their proportions: as
// if each hand repeated as well as the best.
func (k knownLines) unlike(a, b *markedCapture, least *minChange) bool {
	var all []difference
	for y, off := range k.common(a, b) {
		spread := math.Hypot(math.Sqrt2*least.tem[y.measurement], y.resolution)
		d := off.after - off.before
		all = append(all, differenceOf(d+math.Copysign(least.bias[y.measurement], d), spread, off.line))
	}
	return twoAnimals(all) >= minOtherPosterior
}

// logSum is the log of the sum of two numbers that are given by their logs.
func logSum(a, b float64) float64 {
	high, low := max(a, b), min(a, b)
	return high + math.Log1p(math.Exp(low-high))
}

// unlike reports that the proportions of two captures are those of two animals.
func (j *follower) unlike(mark string, a, b *record.Capture) (sign, bool) {
	posterior, n := j.shape(a, b)
	if posterior < minOtherPosterior {
		return sign{}, false
	}
	days := " at two captures"
	if theDay(a) != "" && theDay(b) != "" {
		days = theDay(a) + " and" + theDay(b)
	}
	return sign{record.Finding{Rule: "mark-reused", Level: record.Warning, At: b.Address(), Also: []record.Address{a.Address()}, Capture: b.Key,
		Field: "organismID", Value: mark, Group: "captures of mark " + mark,
		Reason:  fmt.Sprintf("the proportions of mark %s%s differ in %d lengths as much as those of two animals (probability %s).", mark, days, n, percent(posterior)),
		Figures: []record.Figure{{Name: "n", Value: float64(n)}, {Name: "threshold", Value: minOtherPosterior}, {Name: "posterior", Value: posterior}}}, true}, true
}
