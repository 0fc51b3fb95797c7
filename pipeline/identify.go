package pipeline

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/shelf"
)

// pairs are pairs of captures by their ordinals, the earlier first, in the
// order of the later ones.
type pairs [][2]int

func (p pairs) sort() {
	slices.SortFunc(p, func(a, b [2]int) int { return cmp.Or(a[1]-b[1], a[0]-b[0]) })
}

// within gives the pairs whose later capture is one of n from an ordinal.
func (p pairs) within(from, n int) pairs {
	at := sort.Search(len(p), func(i int) bool { return p[i][1] >= from })
	end := sort.Search(len(p), func(i int) bool { return p[i][1] >= from+n })
	return p[at:end]
}

// repeated is what is known of keys that more than one capture has.
type repeated struct {
	keys pairs                    // with the first capture of the key
	nth  map[int]int              // captures alike to the letter, from the second on: which one it is
	told map[string]report.Counts // findings by key, for these keys: their captures may be of several parts
}

// count takes findings into account that name one of the keys.
func (r *repeated) count(fs []record.Finding) {
	if len(r.told) == 0 {
		return
	}
	for i := range fs {
		if n, ok := r.told[fs[i].Capture]; ok {
			r.told[fs[i].Capture] = n.Plus(report.Count(fs[i : i+1]))
		}
	}
}

// name gives a capture its identifier, as if no other had its key.
func (w *way) name(c *record.Capture, ordinal int, keys *shelf.Twins) error {
	if c.Key == "" {
		w.missingKey(c)
		return keys.Add("\x1f"+contents(c), ordinal)
	}
	c.ID = w.identifier(c.Key)
	return keys.Add(c.Key, ordinal)
}

// sameKeys finds the keys that more than one capture has.
func (w *way) sameKeys() error {
	w.repeated.nth, w.repeated.told = map[int]int{}, map[string]report.Counts{}
	for group, err := range w.learned.keys.Groups() {
		if err != nil {
			return err
		}
		first := map[string]int{} // of a key; more than one where digests are equal by chance
		alike := map[string]int{}
		for _, n := range group {
			c, err := w.shelf.Find(n)
			if err != nil {
				return err
			}
			key, text := c.Key, c.Key+"\x1f"+contents(c)
			if placeholder(c) {
				text = "\x1f" + contents(c)
				key = text
			}
			one, again := first[key]
			if !again {
				first[key] = n
			} else if !placeholder(c) {
				w.repeated.keys = append(w.repeated.keys, [2]int{one, n})
				w.repeated.told[strings.Clone(key)] = report.Counts{}
			}
			if again || placeholder(c) {
				if alike[text]++; alike[text] > 1 {
					w.repeated.nth[n] = alike[text]
				}
			}
		}
	}
	w.repeated.keys.sort()
	return nil
}

// rename gives the captures of the part in hand their identifiers where keys
// are repeated, and says so. It reports whether there were any.
func (w *way) rename(from int) (bool, error) {
	changed := false
	var other *record.Capture
	last := -1
	for _, p := range w.repeated.keys.within(from, len(w.captures)) {
		c := w.captures[p[1]-from]
		if p[0] != last {
			var err error
			if other, err = w.shelf.Find(p[0]); err != nil {
				return changed, err
			}
			last = p[0]
		}
		w.keyRepeated(c, other)
		changed = true
	}
	for i, c := range w.captures {
		if n := w.repeated.nth[from+i]; n > 1 {
			c.ID = w.identifier(c.Key + "\x1f" + contents(c) + "\x1f" + strings.Repeat("+", n-1))
			changed = true
		}
	}
	return changed, nil
}

// keyRepeated says that another capture has the key, and names this one after
// its contents.
func (w *way) keyRepeated(c, other *record.Capture) {
	w.find(record.Finding{Rule: "key-repeated", Level: record.Error, At: w.keyAddress(c), Capture: c.Key,
		Also: []record.Address{w.keyAddress(other)}, Field: "key", Value: c.Key,
		Reason: fmt.Sprintf("the capture at %s has the same key", other.Address())})
	c.ID = w.identifier(c.Key + "\x1f" + contents(c))
}

// missingKey names the capture after its place for people and after its
// contents for its identifier.
func (w *way) missingKey(c *record.Capture) {
	c.Key = "(" + c.Address().String() + ")"
	w.find(record.Finding{Rule: "key-missing", Level: record.Error, At: w.keyAddress(c), Capture: c.Key, Field: "key",
		Reason: "no value in the key columns names this capture; its identifier is made from its contents"})
	c.ID = w.identifier("\x1f" + contents(c))
}

// separate keeps identifiers unique where rows are the same to the letter.
func (w *way) separate() {
	seen := map[string]int{}
	for _, c := range w.captures {
		seen[c.ID]++
		if n := seen[c.ID]; n > 1 {
			c.ID = w.identifier(c.Key + "\x1f" + contents(c) + "\x1f" + strings.Repeat("+", n-1))
		}
	}
}

// contents is everything that was written in the row, in order. It is the same
// before and after weighing.
func contents(c *record.Capture) string {
	var b strings.Builder
	for _, v := range c.Values {
		if v.Verbatim != "" {
			b.WriteString(v.Term + "=" + v.Verbatim + "\x1f")
		}
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; !weighed(c, r) {
			b.WriteString(r.Measurement + "=" + r.Verbatim + "\x1f")
		}
	}
	for _, e := range c.Extras {
		b.WriteString(e.Heading + "=" + e.Text + "\x1f")
	}
	return b.String()
}

// weighed reports whether a reading was added by weighing.
func weighed(c *record.Capture, r *record.Reading) bool {
	if r.Derived || c.Weighing == nil {
		return r.Derived
	}
	of := func(part *record.Reading) bool { return part != nil && part.From == r.From }
	return of(c.Weighing.Gross) || of(c.Weighing.Net)
}

// keyAddress is the cell of the first key term, or where it should stand.
func (w *way) keyAddress(c *record.Capture) record.Address {
	at := c.Address()
	for _, t := range w.laid {
		if t.table.File != c.File || t.table.Sheet != c.Sheet || t.table.Index != c.Table {
			continue
		}
		for _, term := range w.survey.Sheets[t.ref].Map.Key {
			if v := c.Value(term); v != nil && v.From.File == c.File {
				return v.From
			}
		}
		for _, col := range t.table.Columns {
			key := w.survey.Sheets[t.ref].Map.Key
			if len(key) > 0 && col.Meaning.Term == key[0] && !t.table.Transposed {
				at.Column = col.Number
			}
		}
	}
	return at
}
