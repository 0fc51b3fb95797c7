package normalise

import (
	"strings"
	"sync"
	"sync/atomic"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// minOwn is how many readings of a column an observer needs for a resolution
// of his own; with fewer that of the whole column holds.
const minOwn = 10

// resolution is how finely a column was read: to the graduation of its
// instrument, or in the step that its numbers show, in the unit that is
// published.
type resolution struct {
	all float64
	of  map[string]float64 // by observer, where the step is another
}

func (n *resolution) by(observer string) float64 {
	if step, ok := n.of[observer]; ok {
		return step
	}
	return n.all
}

// resolve tells how finely every measured column was read, and whether a column
// of tares has bags that weigh something. Where each row is one measurement, the
// rows of each kind are a column.
func (p *plan) resolve(t *record.Table, x *Context, cs *columns) {
	observers := make([]string, len(t.Rows))
	for k := range t.Rows {
		observers[k] = p.observer(t.Rows[k].Cells)
	}
	var beside sync.WaitGroup
	var bagged atomic.Bool
	for i, c := range p.columns {
		switch m := &c.read.meaning; {
		case c.Meaning.Role == record.ValueColumn:
			p.resolveLong(t, x, cs, i, observers)
		case m.Role == record.Measurement || m.Role == record.WeighPart && m.Part != record.Bag && m.Part != record.Scale:
			beside.Go(func() {
				steps := columnSteps{}
				for k := range t.Rows {
					steps.add(&c.read, cs, i, &t.Rows[k].Cells[i], observers[k])
				}
				if m.Part == record.Tare && steps.all().N() > 0 {
					bagged.Store(true)
				}
				c.read.resolution = steps.resolution(m, x, cs.written[i].part)
				c.read.usual.Resolution = c.read.resolution.all // nobody shares it yet
			})
		}
	}
	beside.Wait()
	p.bagged = p.bagged || bagged.Load()
}

// longKind is what the rows of one kind have in common.
type longKind struct{ measurement, part, unit string }

func kindOf(m *record.Meaning) longKind { return longKind{m.Measurement, m.Part, m.Unit} }

func (p *plan) resolveLong(t *record.Table, x *Context, cs *columns, i int, observers []string) {
	steps, kinds := map[longKind]columnSteps{}, map[longKind]record.Meaning{}
	r := &row{table: t, x: x, columns: cs, plan: p}
	for k := range t.Rows {
		r.cells = t.Rows[k].Cells
		m, _, ok := r.long(p.columns[i].Meaning)
		if !ok {
			continue
		}
		kind := kindOf(&m)
		if steps[kind] == nil {
			steps[kind], kinds[kind] = columnSteps{}, m
		}
		steps[kind].add(&measured{meaning: m}, cs, i, &r.cells[i], observers[k])
	}
	p.long = map[longKind]resolution{}
	for kind, s := range steps {
		m := kinds[kind]
		p.bagged = p.bagged || m.Part == record.Tare && s.all().N() > 0
		p.long[kind] = s.resolution(&m, x, 0)
	}
}

// columnSteps gathers the numbers of a column that are in its own unit, by observer,
// who may be "".
type columnSteps map[string]*quantity.Steps

func (s columnSteps) add(read *measured, cs *columns, i int, cell *record.Cell, observer string) {
	if cell.Empty() {
		return
	}
	number, decimals, ok := 0.0, 0, false
	if read.plain != nil {
		number, decimals, ok = read.plainly(cell)
	}
	if !ok {
		q := quantity.Parse(cell.Text, read.options(cs.mark(i, cell), cs.written[i]))
		number, decimals, ok = q.Number, q.Decimals, q.Usable() && q.Second == nil && q.Unit == read.meaning.Unit
	}
	if !ok || number == 0 {
		return
	}
	own := s[observer]
	if own == nil {
		own = &quantity.Steps{}
		s[observer] = own
	}
	own.Add(number, decimals)
}

// all are the numbers of all observers.
func (s columnSteps) all() *quantity.Steps {
	var all quantity.Steps
	for _, own := range s {
		all.Join(own)
	}
	return &all
}

// resolution goes by the instrument, by the fractions that a ruler is read to,
// and by the numbers, in this order.
func (s columnSteps) resolution(m *record.Meaning, x *Context, part float64) (out resolution) {
	unit := unitOf(*m, x)
	if in, known := x.Instruments[m.Instrument]; known && in.Graduation > 0 {
		out.all = scaleWidth(in.Graduation, in.Unit, unit)
		return out
	}
	if part > 0 {
		out.all = scaleWidth(part, m.Unit, unit)
		return out
	}
	out.all = scaleWidth(s.all().Step(), m.Unit, unit)
	for o, own := range s {
		if step := scaleWidth(own.Step(), m.Unit, unit); o != "" && own.N() >= minOwn && step != out.all {
			if out.of == nil {
				out.of = map[string]float64{}
			}
			out.of[strings.Clone(o)] = step
		}
	}
	return out
}

// observer is who took the readings of a row, as it is written, or "".
func (p *plan) observer(cells []record.Cell) string {
	for _, s := range p.takers {
		for _, i := range p.by[s] {
			if c := &cells[i]; !c.Empty() {
				return squeezed(c.Text)
			}
		}
	}
	return ""
}
