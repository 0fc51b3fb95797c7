package report

import (
	"slices"

	"spadefoot/pipeline/record"
)

// owners knows which capture a cell belongs to. A cell that several captures
// share, such as a label above the table, belongs to none.
type owners struct {
	cell  map[record.Address]*record.Capture
	row   map[record.Address]*record.Capture
	key   map[string]*record.Capture
	alike map[string]bool // keys of several captures
}

func ownersOf(captures []*record.Capture) *owners {
	o := &owners{cell: map[record.Address]*record.Capture{}, row: map[record.Address]*record.Capture{},
		key: map[string]*record.Capture{}, alike: map[string]bool{}}
	for _, c := range captures {
		take(o.row, c.Address(), c)
		if _, twice := o.key[c.Key]; twice {
			o.alike[c.Key] = true
		}
		o.key[c.Key] = c
		for _, a := range cellsOf(c) {
			take(o.cell, a, c)
		}
	}
	return o
}

func take(m map[record.Address]*record.Capture, a record.Address, c *record.Capture) {
	if other, there := m[a]; there && other != c {
		m[a] = nil
		return
	}
	m[a] = c
}

// cellsOf lists the cells that a capture was read from, within its sheet.
func cellsOf(c *record.Capture) []record.Address {
	var out []record.Address
	add := func(a record.Address) {
		if a.File == c.File && a.Sheet == c.Sheet && a.Row > 0 && a.Column > 0 {
			out = append(out, a)
		}
	}
	for i := range c.Values {
		add(c.Values[i].From)
	}
	for i := range c.Readings {
		add(c.Readings[i].From)
	}
	for _, e := range c.Extras {
		add(e.From)
	}
	if w := c.Weighing; w != nil {
		add(w.Bag)
		for _, r := range []*record.Reading{w.Gross, w.Tare, w.Net} {
			if r != nil {
				add(r.From)
			}
		}
	}
	return out
}

// of gives the capture that an address belongs to, nil for none or several.
func (o *owners) of(a record.Address) *record.Capture {
	if c, there := o.cell[a]; there {
		return c
	}
	return o.row[record.Address{File: a.File, Sheet: a.Sheet, Row: a.Row}]
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
