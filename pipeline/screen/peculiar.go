package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// peculiar are the doubts on captures of one animal that agree though they are of
// different days: what was found so each time is doubted once, or not at all where two
// hands found it. A doubt goes by the cell that it is about.
type peculiar struct {
	earlier, later map[record.Address]occasion // the capture before, and the one after
}

// occasion is a capture of the same animal that says the same as another.
type occasion struct {
	at   record.Address
	said string
	sameness
}

// sameness is how readings agree: in another number, which was not copied, and by
// another hand.
type sameness struct{ otherNumber, otherHand bool }

// add takes in how two more agree. A hand that has the same number may have copied it.
func (s *sameness) add(o sameness) {
	s.otherNumber = s.otherNumber || o.otherNumber
	s.otherHand = s.otherHand || o.otherHand && o.otherNumber
}

const (
	minPeculiar  = 2        // scales of its line that a length is off at both captures, for these to be looked at
	mostPeculiar = math.Ln2 // log of how far from what is expected an animal may be, and no slip of unit or decimal
)

// addAgreeing takes note of the doubts on a capture that agree with those on an earlier
// one of the same animal.
func (m *Marks) addAgreeing(a, b *record.Capture) {
	before, after := m.j.oddities(a), m.j.oddities(b)
	if len(before)*len(after) == 0 {
		return
	}
	ra, rb := rowOf(a), rowOf(b)
	for _, f := range after {
		i := slices.IndexFunc(before, func(o record.Finding) bool { return o.Field == f.Field })
		if i < 0 {
			continue
		}
		same, ok := m.j.agree(ra, rb, f.Field)
		if !ok {
			continue
		}
		if m.peculiar.earlier == nil {
			m.peculiar = peculiar{map[record.Address]occasion{}, map[record.Address]occasion{}}
		}
		from, to := before[i].At.Clone(), f.At.Clone()
		m.peculiar.earlier[to] = occasion{from, said(a, ra.find(f.Field)), same}
		m.peculiar.later[from] = occasion{to, said(b, rb.find(f.Field)), same}
	}
}

// oddities are the doubts on what is unlike the rest of a capture, or its group, and
// may be the animal's own.
func (j *follower) oddities(c *record.Capture) []record.Finding {
	return slices.DeleteFunc(Judge(c, j.sum, nil, j.settings), func(f record.Finding) bool {
		off := 0.0
		for _, g := range f.Figures {
			switch g.Name {
			case "value":
				off += math.Log(g.Value)
			case "centre":
				off -= math.Log(g.Value)
			}
		}
		return !odd(&f) || math.Abs(off) > mostPeculiar
	})
}

// odd reports whether a finding doubts that something is like the rest of a capture, or
// like its group.
func odd(f *record.Finding) bool {
	return f.Level >= record.Warning && (ofCells[f.Rule] || f.Rule == "animal-unusual")
}

// agree reports how two captures of an animal agree in a measurement, or in all lengths
// that both have; ok is false where they differ by more than error and what the animal
// grew by.
func (j *follower) agree(ra, rb *row, measurement string) (same sameness, ok bool) {
	f := j.sum.fitFor(j.settings)
	f.resolve(ra)
	f.resolve(rb)
	for i := range rb.cells {
		y := &rb.cells[i]
		x := ra.find(y.measurement)
		if x == nil || y.measurement != measurement && (measurement != "" || y.kind != length) {
			continue
		}
		first, second := observerOf(x.first(), ra.hand), observerOf(y.first(), rb.hand)
		limit := j.limit(f, x, y, first, second)
		if math.Abs(excused(y.log-x.log-f.rise(ra, rb, y.measurement), limit.bias)) > limit.plain {
			return same, false
		}
		ok = true
		same.add(sameness{x.first().Text != y.first().Text, first != 0 && second != 0 && first != second})
	}
	return same, ok
}

// rise is how much the line of a measurement rises between the sizes of two captures of
// an animal, 0 where that is not known.
func (f *fitted) rise(ra, rb *row, measurement string) float64 {
	m := f.models[rb.taxon]
	if m == nil || ra.taxon != rb.taxon {
		return 0
	}
	from, to, at := ra.find(m.names[0]), rb.find(m.names[0]), slices.Index(m.names, measurement)
	if from == nil || to == nil || at < 1 {
		return 0
	}
	return m.lines[at].rise(to.log) - m.lines[at].rise(from.log)
}

// said is what a capture says of a measurement, or of the animal as a whole.
func said(c *record.Capture, x *cell) string {
	what := "so"
	if x != nil {
		what = strings.TrimSpace(x.first().Text + " " + unitName(x.first().Unit))
	}
	return fmt.Sprintf("%s%s (%s)", what, theDay(c), c.Address())
}

// Temper makes one doubt of those on an animal that agree: the first names the others,
// which become notes. Numbers that differ a little were not copied, and no slip of a
// digit makes them agree; if two hands read them, the first is a note too. Doubt must
// have been called.
func (m *Marks) Temper(f *record.Finding) {
	if !odd(f) {
		return
	}
	before, again := m.peculiar.earlier[f.At]
	next, more := m.peculiar.later[f.At]
	if !again && !more {
		return
	}
	var same sameness
	var others []record.Address
	add := func(o occasion) {
		same.add(o.sameness)
		others = append(others, o.at)
	}
	for o, some := before, again; some; o, some = m.peculiar.earlier[o.at] {
		add(o)
	}
	for o, some := next, more; some; o, some = m.peculiar.later[o.at] {
		add(o)
	}
	if f.Level == record.Error && !same.otherNumber {
		return
	}
	f.Reason = strings.TrimSuffix(f.Reason, ".") + ". It was "
	if again {
		f.Level, f.Suggestion, f.Also = record.Note, "", append(slices.Clip(f.Also), before.at)
		f.Reason += before.said + " too, and is reported there"
		return
	}
	f.Also = append(slices.Clip(f.Also), others...)
	f.Reason += next.said + " too"
	switch n := len(others) - 1; {
	case n == 1:
		f.Reason += ", and once more"
	case n > 1:
		f.Reason += fmt.Sprintf(", and %d more times", n)
	}
	if same.otherNumber {
		f.Level, f.Suggestion = record.Warning, ""
	}
	if same.otherHand && f.Field != "" {
		f.Level = record.Note
		f.Reason += "; two observers found it so"
	}
}

// peculiar reports whether two captures may be unusual in the same length: as far off
// its line, and on one side of it.
func (k knownLines) peculiar(a, b *markedCapture) bool {
	for _, off := range k.common(a, b) {
		before, after := off.before-off.all, off.after-off.all
		if before*after > 0 && min(math.Abs(before), math.Abs(after)) > minPeculiar*off.scale {
			return true
		}
	}
	return false
}
