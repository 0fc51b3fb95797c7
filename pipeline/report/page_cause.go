package report

import (
	"iter"
	"slices"

	"spadefoot/pipeline/record"
)

// owners knows which capture a cell belongs to. A cell that several captures
// share, such as a label above the table, belongs to none.
type owners struct {
	in    map[record.Address][]*record.Capture // with cells in a row of a sheet
	row   map[record.Address]*record.Capture
	key   map[string]*record.Capture
	alike map[string]bool // keys of several captures
	told  map[record.Address]*record.Capture
}

func ownersOf(captures []*record.Capture) *owners {
	o := &owners{in: map[record.Address][]*record.Capture{}, row: map[record.Address]*record.Capture{},
		key: map[string]*record.Capture{}, alike: map[string]bool{}, told: map[record.Address]*record.Capture{}}
	for _, c := range captures {
		own := c.Address()
		if other, there := o.row[own]; there && other != c {
			o.row[own] = nil
		} else {
			o.row[own] = c
		}
		if _, twice := o.key[c.Key]; twice {
			o.alike[c.Key] = true
		}
		o.key[c.Key] = c
		last := 0
		for a := range cellsOf(c) {
			if a.Row == last {
				continue
			}
			last, a.Column = a.Row, 0
			if in := o.in[a]; len(in) == 0 || in[len(in)-1] != c {
				o.in[a] = append(in, c)
			}
		}
	}
	return o
}

// cellsOf lists the cells that a capture was read from, within its sheet.
func cellsOf(c *record.Capture) iter.Seq[record.Address] {
	return func(yield func(record.Address) bool) {
		own := func(a *record.Address) bool {
			return a.File != c.File || a.Sheet != c.Sheet || a.Row == 0 || a.Column == 0 || yield(*a)
		}
		for i := range c.Values {
			if !own(&c.Values[i].From) {
				return
			}
		}
		for i := range c.Readings {
			if !own(&c.Readings[i].From) {
				return
			}
		}
		for i := range c.Extras {
			if !own(&c.Extras[i].From) {
				return
			}
		}
		w := c.Weighing
		if w == nil || !own(&w.Bag) {
			return
		}
		for _, r := range []*record.Reading{w.Gross, w.Tare, w.Net} {
			if r != nil && !own(&r.From) {
				return
			}
		}
	}
}

// of gives the capture that an address belongs to, nil for none or several.
func (o *owners) of(a record.Address) *record.Capture {
	if c, there := o.told[a]; there {
		return c
	}
	row := record.Address{File: a.File, Sheet: a.Sheet, Row: a.Row}
	found := o.row[row]
	several := false
	for i, owner := 0, 0; i < len(o.in[row]) && a.Column > 0; i++ {
		for cell := range cellsOf(o.in[row][i]) {
			if cell == a {
				owner++
				found, several = o.in[row][i], owner > 1
				break
			}
		}
	}
	if several {
		found = nil
	}
	o.told[a] = found
	return found
}

// named gives the capture of a key, nil where several have it.
func (o *owners) named(key string) *record.Capture {
	if o.alike[key] {
		return nil
	}
	return o.key[key]
}

// follows names rules whose finding is the consequence of another's in the
// same capture.
var follows = map[string]string{"tare-missing": "bag-unknown"}

// causes parts findings into groups of one cause, each by index and in order.
// Findings have one cause if they are about the same cell of a capture, if one
// follows from the other, or if they say the same of the same written value.
func causes(fs []record.Finding, own *owners) [][]int {
	set := newSets(len(fs))
	type spot struct {
		capture *record.Capture
		at      record.Address
	}
	type saying struct{ rule, file, sheet, field, value, reason string }
	type follower struct {
		capture *record.Capture
		rule    string
	}
	cells, sayings, rules := map[spot]int{}, map[saying]int{}, map[follower]int{}
	for i, f := range fs {
		for _, a := range append([]record.Address{f.At}, f.Also...) {
			c := own.of(a)
			if a.Column == 0 || c == nil && a != f.At {
				continue // a shared cell, such as a bag's mass, joins nothing
			}
			joinBy(set, cells, spot{c, a}, i)
		}
		joinBy(set, sayings, saying{f.Rule, f.At.File, f.At.Sheet, f.Field, f.Value, f.Reason}, i)
		if c := own.named(f.Capture); c != nil {
			if _, there := rules[follower{c, f.Rule}]; !there {
				rules[follower{c, f.Rule}] = i
			}
		}
	}
	for i, f := range fs {
		if first, ok := follows[f.Rule]; ok {
			if j, there := rules[follower{own.named(f.Capture), first}]; there {
				set.union(i, j)
			}
		}
	}
	return set.groups()
}

// sets is a union of disjoint sets of indices.
type sets struct{ parent []int }

func newSets(n int) *sets {
	s := &sets{make([]int, n)}
	for i := range s.parent {
		s.parent[i] = i
	}
	return s
}

func (s *sets) find(i int) int {
	for s.parent[i] != i {
		s.parent[i] = s.parent[s.parent[i]]
		i = s.parent[i]
	}
	return i
}

func (s *sets) union(i, j int) {
	a, b := s.find(i), s.find(j)
	s.parent[max(a, b)] = min(a, b)
}

// joinBy joins i with the first index that came with the same key.
func joinBy[K comparable](s *sets, first map[K]int, key K, i int) {
	if j, there := first[key]; there {
		s.union(i, j)
		return
	}
	first[key] = i
}

func (s *sets) groups() [][]int {
	at := map[int]int{}
	var out [][]int
	for i := range s.parent {
		root := s.find(i)
		if _, there := at[root]; !there {
			at[root] = len(out)
			out = append(out, nil)
		}
		out[at[root]] = append(out[at[root]], i)
	}
	for _, g := range out {
		slices.Sort(g)
	}
	return out
}
