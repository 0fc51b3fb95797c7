package report

import (
	"iter"

	"spadefoot/pipeline/record"
)

// owners knows which capture a cell belongs to. A cell that several captures
// share, such as a label above the table, belongs to none. It knows the rows
// and keys that some findings are about, and no others.
type owners struct {
	all   *Gatherer
	in    map[rowOf][]*sketch // with cells in a row of a sheet
	row   map[rowOf]*sketch
	key   map[string]*sketch
	alike map[string]bool // keys of several captures
	told  map[record.Address]*sketch
}

// rowOf is a row of a sheet.
type rowOf struct {
	sheet *sheet
	row   int
}

// ownersOf looks for the owners of the cells of findings among captures: all of
// those that hold cells in the rows of these findings.
func ownersOf(captures []*sketch, fs []*record.Finding, g *Gatherer) *owners {
	o := &owners{all: g, in: map[rowOf][]*sketch{}, row: map[rowOf]*sketch{},
		key: map[string]*sketch{}, alike: map[string]bool{}, told: map[record.Address]*sketch{}}
	asked := g.concernOf(fs)
	for _, s := range captures {
		if asked.keys[s.key] {
			if _, twice := o.key[s.key]; twice {
				o.alike[s.key] = true
			}
			o.key[s.key] = s
		}
		own := rowOf{s.sheet, s.row}
		if asked.rows[own] {
			if other, there := o.row[own]; there && other != s {
				o.row[own] = nil
			} else {
				o.row[own] = s
			}
			if s.own != 0 {
				o.in[own] = append(o.in[own], s)
			}
		}
		last := int32(0)
		for _, c := range s.cells {
			if c.row == last {
				continue
			}
			last = c.row
			at := rowOf{s.sheet, int(last)}
			if !asked.rows[at] {
				continue
			}
			if in := o.in[at]; len(in) == 0 || in[len(in)-1] != s {
				o.in[at] = append(in, s)
			}
		}
	}
	return o
}

// concern is what findings are about: rows and keys.
type concern struct {
	rows map[rowOf]bool
	keys map[string]bool
}

// concernOf lists the rows and keys of findings.
func (g *Gatherer) concernOf(fs []*record.Finding) *concern {
	out := &concern{rows: map[rowOf]bool{}, keys: map[string]bool{}}
	for _, f := range fs {
		out.keys[f.Capture] = true
		for a := range cellsIn(f) {
			out.rows[g.rowAt(a)] = true
		}
	}
	return out
}

// concerns reports whether a finding may be about a capture.
func (k *concern) concerns(c *record.Capture, of *sheet) bool {
	if len(k.keys) == 0 {
		return false
	}
	if k.rows[rowOf{of, c.Row}] || k.keys[c.Key] {
		return true
	}
	for row, column := range c.Origins() {
		if row != c.Row && row != 0 && k.rows[rowOf{of, row}] && c.InSheet(column) {
			return true
		}
	}
	return false
}

func (g *Gatherer) rowAt(a record.Address) rowOf { return rowOf{g.sheetAt(a.File, a.Sheet), a.Row} }

// cellsIn returns the cells of a finding.
func cellsIn(f *record.Finding) iter.Seq[record.Address] {
	return func(yield func(record.Address) bool) {
		if !yield(f.At) {
			return
		}
		for _, a := range f.Also {
			if !yield(a) {
				return
			}
		}
	}
}

// of returns the capture that an address belongs to, nil for none or several.
func (o *owners) of(a record.Address) *sketch {
	if s, there := o.told[a]; there {
		return s
	}
	row := o.all.rowAt(a)
	found, several, owner := o.row[row], false, 0
	if a.Column > 0 {
		for _, s := range o.in[row] {
			if s.has(rowColumn{int32(a.Row), int32(a.Column)}) {
				owner++
				found, several = s, owner > 1
			}
		}
	}
	if several {
		found = nil
	}
	o.told[a] = found
	return found
}

// named returns the capture of a key, nil where several have it.
func (o *owners) named(key string) *sketch {
	if o.alike[key] {
		return nil
	}
	return o.key[key]
}
