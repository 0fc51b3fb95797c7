package observers

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// taken is one reading by one observer of one individual.
type taken struct {
	observer   string
	individual string // with the day, for live animals
	value      float64
	replicate  int
	at         record.Address
}

// table holds the readings of one measurement, in an order that doesn't depend
// on that of the captures, and the known sizes by individual.
type table struct {
	name, unit string
	readings   []taken
	known      map[string]float64
}

// Comparison takes the captures of a survey part by part and compares those who
// read them. Of a capture it keeps the readings that have an observer and an
// individual, and else where it stands.
type Comparison struct {
	settings         Settings
	known            []Known
	sizes            map[[2]string]Known
	tables           map[string]*table
	seen             map[string]bool // individuals that somebody read
	texts            map[string]string
	captures         int
	first            record.Address // of the sheets
	nobody, nameless rows
	findings         []record.Finding
}

// rows are rows by their sheet.
type rows map[record.Address][]int

func (r rows) add(c *record.Capture, sheet record.Address) { r[sheet] = append(r[sheet], c.Row) }

func (r rows) count() (n int) {
	for _, list := range r {
		n += len(list)
	}
	return n
}

// Begin begins a comparison. It fails only on settings that make no sense.
func Begin(known []Known, s Settings) (*Comparison, error) {
	if !(s.Level > 0 && s.Level < 1) {
		return nil, fmt.Errorf("level %v: want more than 0 and less than 1", s.Level)
	}
	g := &Comparison{settings: s, known: known, sizes: map[[2]string]Known{}, tables: map[string]*table{}, seen: map[string]bool{},
		texts: map[string]string{}, nobody: rows{}, nameless: rows{}}
	for _, k := range known {
		g.sizes[[2]string{k.Individual, k.Measurement}] = k
	}
	return g, nil
}

// Add takes the captures of a part; their order doesn't matter, nor that of the
// parts. They are not kept.
func (g *Comparison) Add(captures []*record.Capture) {
	for _, c := range captures {
		sheet := record.Address{File: g.text(c.File), Sheet: g.text(c.Sheet)}
		if g.captures == 0 || sheet.Before(g.first) {
			g.first = sheet
		}
		g.captures++
		g.capture(c, sheet)
	}
}

// text returns a text that holds no part of a larger one, once for all that are the
// same.
func (g *Comparison) text(s string) string {
	own, known := g.texts[s]
	if !known {
		own = strings.Clone(s)
		g.texts[own] = own
	}
	return own
}

// sorted returns the tables in the order of their names, and the readings of each
// in their own order.
func (g *Comparison) sorted() []*table {
	var out []*table
	for _, name := range slices.Sorted(maps.Keys(g.tables)) {
		t := g.tables[name]
		sorting.Func(t.readings, func(a, b taken) int {
			return cmp.Or(strings.Compare(a.observer, b.observer), strings.Compare(a.individual, b.individual),
				a.replicate-b.replicate, a.at.Compare(b.at), cmp.Compare(a.value, b.value))
		})
		out = append(out, t)
	}
	return out
}

// capture takes the readings of one row.
func (g *Comparison) capture(c *record.Capture, sheet record.Address) {
	individual, ok := individualOf(c)
	var readings []*record.Reading
	unclear := false
	for i := range c.Readings {
		r := &c.Readings[i]
		if counts(r) {
			readings = append(readings, r)
			unclear = unclear || observerOf(c, r) == ""
		}
	}
	switch {
	case len(readings) == 0:
		return
	case !ok:
		g.nameless.add(c, sheet)
		return
	case unclear:
		g.nobody.add(c, sheet)
	}
	for _, r := range readings {
		if who := observerOf(c, r); who != "" {
			g.add(c, r, g.text(who), g.text(individual))
		}
	}
}

// individualOf returns the mark of the animal, or the label of the model. A row
// without one is its own animal where it holds repeats.
func individualOf(c *record.Capture) (id string, ok bool) {
	if id = c.Get("organismID"); id != "" {
		if c.Scope != "" {
			id += " (" + c.Scope + ")"
		}
		return id, true
	}
	seen := map[string]bool{}
	for i := range c.Readings {
		r := &c.Readings[i]
		part := r.Measurement + r.Side
		if counts(r) && seen[part] {
			return "the animal of " + c.Address().String(), true
		}
		seen[part] = seen[part] || counts(r)
	}
	return "", false
}

// bodyMass is worked out from gross and tare, which are the observer's own.
const bodyMass = "bodyMass"

func counts(r *record.Reading) bool {
	return r.Usable() && (!r.Derived || r.Measurement == bodyMass) && !math.IsNaN(r.Number) && !math.IsInf(r.Number, 0)
}

// add takes one reading to the table of its measurement.
func (g *Comparison) add(c *record.Capture, r *record.Reading, who, individual string) {
	g.seen[individual] = true
	key := r.Measurement + "\x00" + r.Unit
	t := g.tables[key]
	if t == nil {
		t = &table{name: g.text(r.Measurement), unit: g.text(r.Unit), known: map[string]float64{}}
		g.tables[strings.Clone(key)] = t
	}
	id := individual
	if r.Side != "" {
		id = g.text(id + ", " + r.Side) // the other side is not a repeat
	}
	size, isKnown := g.sizes[[2]string{individual, r.Measurement}]
	switch {
	case isKnown && size.Unit != r.Unit:
		g.findings = append(g.findings, record.Finding{Rule: "known-size-unit", Level: record.Error, At: g.address(r.From()), Capture: g.text(c.Key),
			Field: g.text(r.Measurement), Value: g.text(r.Verbatim), Group: individual,
			Reason: fmt.Sprintf("the known size of %s is in %s, the reading in %s", individual, size.Unit, r.Unit)})
		return
	case isKnown:
		t.known[id] = size.Value
	case !g.settings.AcrossDays:
		id = g.text(id + dayOf(c))
	}
	t.readings = append(t.readings, taken{observer: who, individual: id, value: r.Number, replicate: r.Replicate, at: g.address(r.From())})
}

func (g *Comparison) address(a record.Address) record.Address {
	a.File, a.Sheet = g.text(a.File), g.text(a.Sheet)
	return a
}

// dayOf returns " on " and the day of the capture, or "".
func dayOf(c *record.Capture) string {
	day, _, _ := strings.Cut(c.Get("eventDate"), "T")
	if day == "" {
		return ""
	}
	return " on " + day
}

// observerOf returns the one name that took the reading, or "".
func observerOf(c *record.Capture, r *record.Reading) string {
	name := strings.Join(strings.Fields(cmp.Or(r.Observer, c.Get("measurementDeterminedBy"), c.Get("recordedBy"))), " ")
	if strings.ContainsAny(name, "|;&/+") || strings.Contains(name, " and ") {
		return ""
	}
	return name
}

// maxNamed bounds the rows that a finding names.
const maxNamed = 10_000

// perSheet returns one finding for each sheet with its list of rows.
func perSheet(of rows, rule, field, reason string) []record.Finding {
	var out []record.Finding
	for sheet, list := range of {
		slices.Sort(list)
		f := record.Finding{Rule: rule, Level: record.Warning, At: sheet, Field: field, Reason: fmt.Sprintf(reason, len(list)),
			Figures: []record.Figure{{Name: "n", Value: float64(len(list))}}}
		for _, row := range list[:min(len(list), maxNamed)] {
			f.Also = append(f.Also, record.Address{File: sheet.File, Sheet: sheet.Sheet, Row: row})
		}
		if len(list) > maxNamed {
			f.Reason += fmt.Sprintf("; the first %d are listed", maxNamed)
		}
		out = append(out, f)
	}
	record.SortFindings(out)
	return out
}

// people returns the observers of a table, in the order of their names.
func (t *table) people() []string {
	var out []string
	for _, r := range t.readings {
		if len(out) == 0 || out[len(out)-1] != r.observer {
			out = append(out, r.observer)
		}
	}
	return out
}

// byIndividual returns the readings of one observer, in the order of repeats.
func (t *table) byIndividual(observer string) map[string][]float64 {
	out := map[string][]float64{}
	for _, r := range t.readings {
		if r.observer == observer {
			out[r.individual] = append(out[r.individual], r.value)
		}
	}
	return out
}
