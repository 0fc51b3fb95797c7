package pipeline

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"sort"
	"strings"

	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/weigh"
)

// within returns the pairs whose later capture is one of n from an ordinal.
func (p pairs) within(from, n int) pairs {
	at := sort.Search(len(p), func(i int) bool { return p[i][1] >= from })
	end := sort.Search(len(p), func(i int) bool { return p[i][1] >= from+n })
	return p[at:end]
}

// count takes findings into account that name one of the keys.
func (r *repeated) count(fs []record.Finding) {
	if len(r.counts) == 0 {
		return
	}
	for i := range fs {
		if n, ok := r.counts[fs[i].Capture]; ok {
			r.counts[fs[i].Capture] = n.Plus(findings.Count(fs[i : i+1]))
		}
	}
}

// name gives a capture its identifier, as if no other had its key.
func (w *walk) name(c *record.Capture, ordinal int, equal *store.EqualTexts) error {
	w.keys.Count(c)
	if keys.NameAfterRow(c); keys.Placeholder(c) {
		w.keys.Missing(c, w.keyAddress(c))
	}
	c.ID = w.identifierOf(c, 0)
	return equal.Add(keys.SameAs(c), ordinal)
}

// sameKeys finds the keys that more than one capture has, and the captures
// without a key that say the same.
func (w *walk) sameKeys() (err error) {
	w.repeated.nth, w.repeated.counts = map[int]int{}, map[string]findings.Counts{}
	for key, same := range w.ofOneKey(w.learned.keys, &err) {
		if key != "" && len(same) > 1 {
			w.repeated.counts[key] = findings.Counts{}
			for _, c := range same[1:] {
				w.repeated.keys = append(w.repeated.keys, [2]int{same[0].Ordinal, c.Ordinal})
			}
		}
		w.repeated.nameByContents(key, same)
	}
	if err != nil {
		return err
	}
	w.repeated.keys.sort()
	return w.pairKeys()
}

// ofOneKey returns the captures of each key that several may have, and those
// without a key that may say the same, in the order of their ordinals.
func (w *walk) ofOneKey(equal *store.EqualTexts, failed *error) iter.Seq2[string, []keys.Named] {
	return func(yield func(string, []keys.Named) bool) {
		for group, err := range equal.Groups() {
			byKey := map[string][]keys.Named{} // more than one key where digests are equal by chance
			for _, n := range group {
				var c *record.Capture
				if c, err = w.store.Find(n); err != nil {
					break
				}
				key := c.Key
				if keys.Placeholder(c) {
					key = ""
				}
				byKey[strings.Clone(key)] = append(byKey[key], keys.Named{Ordinal: n, Written: keys.Digest(c)})
			}
			if *failed = err; err != nil {
				return
			}
			for key, same := range byKey {
				if !yield(key, same) {
					return
				}
			}
		}
	}
}

// nameByContents notes which captures of one key, or of none, are named after their
// contents.
func (r *repeated) nameByContents(key string, same []keys.Named) {
	for ordinal, nth := range keys.Number(key, same) {
		if nth > 1 || key != "" && nth == 1 {
			r.nth[ordinal] = nth
		}
	}
}

// pairKeys tells the gathered doubts of the keys that come again.
func (w *walk) pairKeys() error {
	first, at := -1, record.Address{} // that many pairs share
	for _, p := range w.repeated.keys {
		if p[0] != first {
			a, err := w.store.Find(p[0])
			if err != nil {
				return err
			}
			first, at = p[0], w.keyAddress(a)
		}
		b, err := w.store.Find(p[1])
		if err != nil {
			return err
		}
		w.keys.Repeated(b.Key, w.keyAddress(b), at)
	}
	return nil
}

// rename gives the captures of the part in hand their identifiers where keys
// are repeated or missing. It reports whether there were any.
func (w *walk) rename(from int) bool {
	changed := false
	for i, c := range w.captures {
		if nth := w.repeated.nth[from+i]; nth > 0 {
			c.ID = w.identifierOf(c, nth)
			changed = true
		}
	}
	return changed
}

// identifierOf makes the identifier of a capture that is the nth of equal key and
// contents, 0 for one that has its key to itself.
func (w *walk) identifierOf(c *record.Capture, nth int) string {
	return w.identifier(keys.Text(c, nth))
}

// keyAddress is the cell of the first key term, or where it should stand.
func (w *walk) keyAddress(c *record.Capture) record.Address {
	at := c.Address()
	key := w.keyTermsOf(c)
	for _, term := range key {
		if v := c.Value(term); v != nil && v.From().File == c.File {
			return v.From()
		}
	}
	for _, col := range w.columnsOf(c) {
		if len(key) > 0 && col.Meaning.Term == key[0] {
			at.Column = col.Number
		}
	}
	return at
}

// keyTermsOf returns the terms that name a capture, by the mapping of its table.
func (w *walk) keyTermsOf(c *record.Capture) []string {
	if t := w.tableWith(c); t != nil {
		return keyTerms(w.survey.Sheets[t.ref].Map.Key)
	}
	return nil
}

// joinTwice makes one finding of files that hold the same captures. It returns
// which findings that one replaces. The pairs of sameDay have the same measurements
// on one day.
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
			twice[keys.PairOf(rows[0], rows[1])] = true
		}
		if f.Rule == "capture-twice" && keys.DatedInTwoSheets(a, b) {
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

// doubtEarlier notes the captures that a later one, maybe of another part, will be
// reported with.
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
				fs = w.compareTwo(false, a, b)
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

// compareTwo returns the findings on two captures that may be one, or that are of
// one mark.
func (w *walk) compareTwo(marked bool, a, b *record.Capture) []record.Finding {
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
		w.find(w.compareTwo(marked, a, w.captures[p[1]-from])...)
	}
	if marked {
		w.rephrase(w.temper)
	}
	return nil
}

// temper leaves one doubt of those that captures of one animal share.
func (w *walk) temper(f *record.Finding) {
	before := f.Level
	if w.learned.marks.Temper(f); f.Level != before {
		f.Level, _ = w.survey.Level(f.Rule, f.Level)
	}
}

// noteContents notes what was written of a capture, where two sheets may contain
// the same.
func (w *walk) noteContents(c *record.Capture, ordinal int) error {
	g := &w.learned
	g.sizes[keys.Source{File: c.File}]++
	if c.Sheet != "" {
		g.sizes[keys.Source{File: c.File, Sheet: c.Sheet}]++
	}
	if w.held && len(w.sheets) < 2 || len(w.survey.Sheets) < 2 && c.Sheet == "" {
		return nil // one sheet, or one text file
	}
	if contents, enough := keys.Distinctive(c); enough {
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
			contents, _ := keys.Distinctive(c)
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

// linkMarks finds for each capture of a marked animal the one before it, by their
// ordinals. linkPart then says so, as associatedOccurrences. The mark itself
// (organismID) joins them all; the links give their order. Where that is not
// known, as for two captures of one day without a time of day, there is no link.
func (w *walk) linkMarks() error {
	w.before = map[int]int{}
	for group, err := range w.learned.marked.Groups() {
		if err != nil {
			return err
		}
		byMark := map[string][]*record.Capture{} // more than one where digests are equal by chance
		at, all := map[*record.Capture]int{}, []recaptures.Caught(nil)
		for _, n := range group {
			c, err := w.store.Find(n)
			if err != nil {
				return err
			}
			at[c], all = n, append(all, recaptures.CaughtAs(c, n))
			byMark[c.Mark()] = append(byMark[c.Mark()], c)
		}
		for _, captures := range byMark {
			w.follow(captures, at)
		}
		for _, f := range recaptures.Following(all) {
			w.before[f[1].Ordinal] = f[0].Ordinal
		}
	}
	return nil
}

// follow lets the results follow an animal, where there will be any.
func (w *walk) follow(captures []*record.Capture, at map[*record.Capture]int) {
	if w.seasonal.gather == nil {
		return
	}
	ordinals := make([]int, len(captures))
	for i, c := range captures {
		ordinals[i] = at[c]
	}
	w.seasonal.gather.Follow(captures, ordinals)
}

// linkPart links the captures of the part in hand to those before them.
func (w *walk) linkPart(i int) error {
	from := w.store.First(i)
	for k, c := range w.captures {
		n, there := w.before[from+k]
		if !there {
			continue
		}
		before, err := w.store.Find(n)
		if err != nil {
			return err
		}
		recaptures.Link(c, recaptures.Identifier(before))
	}
	return nil
}

// findRecaught looks for the animals that remarks name among the marks, and among
// the keys and numbers, of all captures. The first capture of each is shown.
func (w *walk) findRecaught(v *verdicts) error {
	if len(w.learned.recaught) == 0 {
		return nil
	}
	v.known = w.learned.asked()
	return w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			recaptures.LookAmong(v.known, c)
		}
		return nil
	})
}

// asked are the animals that remarks name, none of them seen yet.
func (g *learned) asked() map[string]recaptures.Seen {
	out := map[string]recaptures.Seen{}
	for _, r := range g.recaught {
		out[vocabulary.Fold(r.Mark)] = recaptures.Seen{}
	}
	return out
}

// offerLinks tells of the captures of the part in hand whose remarks say that the
// animal was caught before. Nothing is linked by that.
func (w *walk) offerLinks(from int, v *verdicts) {
	for i, c := range w.captures {
		r, said := w.learned.recaught[from+i]
		if !said {
			continue
		}
		f := record.Finding{Rule: "recapture-said", Level: record.Note, At: r.At, Capture: c.Key, Field: r.Term, Value: r.Text}
		switch k := v.known[vocabulary.Fold(r.Mark)]; {
		case k.At.File == "" || k.At == c.Address():
			f.Reason = fmt.Sprintf("the remark says that this animal is %s, but no other capture has that mark or number", r.Mark)
		default:
			f.Also = []record.Address{k.At}
			f.Reason = fmt.Sprintf("the remark says that this animal is %s, which was caught before (%s); they are not linked", r.Mark,
				record.Joined(", ", k.Date, k.Said, k.At.String()))
		}
		w.find(f)
	}
}

// seenAs describes a capture in a line: when it was, where it is written, what the
// animal is, and what was measured.
func (w *walk) seenAs(c *record.Capture) recaptures.Seen {
	parts := []string{c.Get("eventDate"), c.Key}
	for _, term := range []string{"scientificName", "sex", "lifeStage"} {
		parts = append(parts, c.Get(term))
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Usable() && r.Text != "" && (!r.Derived || r.Measurement == weigh.BodyMass) {
			parts = append(parts, fmt.Sprintf("%s %s %s", w.survey.Measures().Get(r.Measurement).Label, r.Text, r.Unit))
		}
	}
	parts = slices.DeleteFunc(parts, func(p string) bool { return p == "" })
	return recaptures.Seen{Date: strings.Clone(c.Get("eventDate")), At: c.Address().Clone(), Said: strings.Join(slices.Compact(parts), ", ") + " (" + c.Address().String() + ")"}
}
