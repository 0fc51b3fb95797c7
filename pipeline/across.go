package pipeline

import (
	"cmp"
	"slices"

	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// joinTwice makes one finding of files that hold the same captures, and tells
// what it stands for. Of the captures of sameDay the same was
// measured on one day.
func (w *walk) joinTwice(sameDay [][2]record.Address) (func(record.Finding) bool, error) {
	if _, on := w.survey.Level(keys.RuleTwice, record.Error); !on || len(w.laid) < 2 {
		return nil, nil
	}
	same, err := w.sameContents()
	if err != nil {
		return nil, err
	}
	held := keys.SheetsTwice(w.learned.sizes, append(same, sameDay...))
	for _, t := range held {
		w.whole = append(w.whole, t.Finding())
	}
	return keys.JoinedBy(held), nil
}

// enteredTwice are the pairs of rows that are probably one capture, where the
// survey asks for that, and those in which the same was measured on one day.
func (w *walk) enteredTwice(v *verdicts) (twice map[keys.RowPair]bool, sameDay [][2]record.Address, err error) {
	twice = map[keys.RowPair]bool{}
	for _, p := range v.duplicates {
		a, b, err := w.both(p)
		if err != nil {
			return nil, nil, err
		}
		f, ok := w.learned.duplicates.Finding(a, b)
		if !ok {
			continue
		}
		rows := [2]record.Address{a.Address().Clone(), b.Address().Clone()}
		if _, on := w.survey.Level(f.Rule, f.Level); on {
			twice[keys.TwoRows(rows[0], rows[1])] = true
		}
		if f.Rule == "capture-twice" && keys.DayInTwo(a, b) {
			sameDay = append(sameDay, rows)
		}
	}
	return twice, sameDay, nil
}

// eitherOf reports what one of two functions does, either of which may be nil.
func eitherOf(a, b func(record.Finding) bool) func(record.Finding) bool {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return func(f record.Finding) bool { return a(f) || b(f) }
}

// both fetches two captures.
func (w *walk) both(p [2]int) (a, b *record.Capture, err error) {
	if a, err = w.store.Find(p[0]); err != nil {
		return nil, nil, err
	}
	b, err = w.store.Find(p[1])
	return a, b, err
}

// doubtEarlier notes the captures that a later one, maybe of another part, is
// going to be told with.
func (w *walk) doubtEarlier(v *verdicts) error {
	v.doubted = map[int]bool{}
	follows, err := w.learned.marks.Pairs(v.screening.Summary(), w.tables.limits, w.learned.screened)
	if err != nil {
		return err
	}
	v.follows = follows
	v.follows.sort()
	for k, list := range []pairs{v.duplicates, v.follows} {
		for _, p := range list {
			a, b, err := w.both(p)
			if err != nil {
				return err
			}
			var fs []record.Finding
			if k == 1 {
				fs = w.learned.marks.Doubt(a, b)
			} else {
				fs = w.sayOfTwo(false, a, b)
			}
			if slices.ContainsFunc(fs, func(f record.Finding) bool {
				level, on := w.survey.Level(f.Rule, f.Level)
				return on && level >= record.Warning
			}) {
				v.doubted[p[0]], v.doubted[p[1]] = true, true
			}
		}
	}
	return nil
}

// sayOfTwo is what there is to say of two captures that may be one, or that are
// of one mark.
func (w *walk) sayOfTwo(marked bool, a, b *record.Capture) []record.Finding {
	g := &w.learned
	if marked {
		return g.marks.Follow(a, b)
	}
	if f, ok := g.duplicates.Finding(a, b); ok {
		return []record.Finding{f}
	}
	return nil
}

// compareWithOthers compares captures of the part in hand with earlier ones:
// entered twice, or captures of one mark.
func (w *walk) compareWithOthers(from int, list pairs, marked bool) error {
	for _, p := range list.within(from, len(w.captures)) {
		a, err := w.store.Find(p[0])
		if err != nil {
			return err
		}
		w.find(w.sayOfTwo(marked, a, w.captures[p[1]-from])...)
	}
	return nil
}

// sayTwice notes what was written of a capture, where two sheets may say the
// same.
func (w *walk) sayTwice(c *record.Capture, ordinal int) error {
	g := &w.learned
	g.sizes[keys.Source{File: c.File}]++
	if c.Sheet != "" {
		g.sizes[keys.Source{File: c.File, Sheet: c.Sheet}]++
	}
	if len(w.survey.Sheets) < 2 && c.Sheet == "" {
		return nil // one text file
	}
	if contents, enough := keys.Said(c); enough {
		return g.contents.Add(contents, ordinal)
	}
	return nil
}

// sameContents pairs the captures of different sheets in which the same was
// written, each with one of the first sheet that has it.
func (w *walk) sameContents() (out [][2]record.Address, err error) {
	type pairing struct {
		ordinal int
		pair    [2]record.Address
	}
	var all []pairing
	for group, err := range w.learned.contents.Groups() {
		if err != nil {
			return nil, err
		}
		alike := map[keys.Source]*keys.Copies{} // by contents and, of the tabs of one file, by file
		for _, n := range group {
			c, err := w.store.Find(n)
			if err != nil {
				return nil, err
			}
			contents, _ := keys.Said(c)
			at := c.Address().Clone()
			for _, s := range []struct {
				in   keys.Source
				name string
			}{{keys.Source{File: contents}, c.File}, {keys.Source{File: contents, Sheet: c.File}, c.Sheet}} {
				if alike[s.in] == nil {
					alike[s.in] = &keys.Copies{}
				}
				if first, ok := alike[s.in].Original(s.name, at); ok {
					all = append(all, pairing{n, [2]record.Address{first, at}})
				}
			}
		}
	}
	sorting.StableFunc(all, func(a, b pairing) int {
		return cmp.Or(a.ordinal-b.ordinal, a.pair[0].Compare(b.pair[0]))
	})
	for _, t := range all {
		out = append(out, t.pair)
	}
	return out, nil
}
