package observers

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
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

func gather(captures []*record.Capture, known []Known, s Settings) *gathering {
	g := &gathering{settings: s, captures: captures, sizes: map[[2]string]Known{}, tables: map[string]*table{}, seen: map[string]bool{}}
	for _, k := range known {
		g.sizes[[2]string{k.Individual, k.Measurement}] = k
	}
	for _, c := range captures {
		g.capture(c)
	}
	g.findings = append(g.findings, perSheet(g.nobody, "observer-unclear", "measurementDeterminedBy", "no observer, or several names, for %d rows")...)
	g.findings = append(g.findings, perSheet(g.nameless, "individual-missing", "organismID", "no individual and no repeats for %d rows")...)
	return g
}

// sorted gives the tables in the order of their names, and the readings of each
// in an order of their own.
func (g *gathering) sorted() []*table {
	var out []*table
	for _, name := range slices.Sorted(maps.Keys(g.tables)) {
		t := g.tables[name]
		slices.SortFunc(t.readings, func(a, b taken) int {
			return cmp.Or(strings.Compare(a.observer, b.observer), strings.Compare(a.individual, b.individual),
				a.replicate-b.replicate, a.at.Compare(b.at), cmp.Compare(a.value, b.value))
		})
		out = append(out, t)
	}
	return out
}

// gathering sorts the readings of captures into tables.
type gathering struct {
	settings         Settings
	captures         []*record.Capture
	sizes            map[[2]string]Known
	tables           map[string]*table
	seen             map[string]bool // individuals that somebody read
	nobody, nameless []*record.Capture
	findings         []record.Finding
}

// capture takes the readings of one row.
func (g *gathering) capture(c *record.Capture) {
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
		g.nameless = append(g.nameless, c)
		return
	case unclear:
		g.nobody = append(g.nobody, c)
	}
	for _, r := range readings {
		if who := observerOf(c, r); who != "" {
			g.add(c, r, who, individual)
		}
	}
}

// individualOf gives the mark of the animal, or the label of the model. A row
// without one is an animal of its own where it holds repeats.
func individualOf(c *record.Capture) (id string, ok bool) {
	if id = c.Get("organismID"); id != "" {
		return id, true
	}
	seen := map[string]bool{}
	for i := range c.Readings {
		r := &c.Readings[i]
		if counts(r) && seen[r.Measurement] {
			return "the animal of " + c.Address().String(), true
		}
		seen[r.Measurement] = seen[r.Measurement] || counts(r)
	}
	return "", false
}

// bodyMass is worked out from gross and tare, which are the observer's own.
const bodyMass = "bodyMass"

func counts(r *record.Reading) bool {
	return r.Usable() && (!r.Derived || r.Measurement == bodyMass) && !math.IsNaN(r.Number) && !math.IsInf(r.Number, 0)
}

// add takes one reading to the table of its measurement.
func (g *gathering) add(c *record.Capture, r *record.Reading, who, individual string) {
	g.seen[individual] = true
	key := r.Measurement + "\x00" + r.Unit
	t := g.tables[key]
	if t == nil {
		t = &table{name: r.Measurement, unit: r.Unit, known: map[string]float64{}}
		g.tables[key] = t
	}
	id := individual
	size, isKnown := g.sizes[[2]string{individual, r.Measurement}]
	switch {
	case isKnown && size.Unit != r.Unit:
		g.findings = append(g.findings, record.Finding{Rule: "known-size-unit", Level: record.Error, At: r.From, Capture: c.Key,
			Field: r.Measurement, Value: r.Verbatim, Group: individual,
			Reason: fmt.Sprintf("the known size of %s is in %s, the reading in %s", individual, size.Unit, r.Unit)})
		return
	case isKnown:
		t.known[id] = size.Value
	case !g.settings.AcrossDays:
		id += dayOf(c)
	}
	t.readings = append(t.readings, taken{observer: who, individual: id, value: r.Number, replicate: r.Replicate, at: r.From})
}

// dayOf gives " on " and the day of the capture, or "".
func dayOf(c *record.Capture) string {
	day, _, _ := strings.Cut(c.Get("eventDate"), "T")
	if day == "" {
		return ""
	}
	return " on " + day
}

// observerOf gives the one name that took the reading, or "".
func observerOf(c *record.Capture, r *record.Reading) string {
	name := strings.Join(strings.Fields(cmp.Or(r.Observer, c.Get("measurementDeterminedBy"), c.Get("recordedBy"))), " ")
	if strings.ContainsAny(name, "|;&/+") || strings.Contains(name, " and ") {
		return ""
	}
	return name
}

// perSheet gives one finding for each sheet with its list of rows.
func perSheet(captures []*record.Capture, rule, field, reason string) []record.Finding {
	rows := map[record.Address][]record.Address{}
	for _, c := range captures {
		a := c.Address()
		sheet := record.Address{File: a.File, Sheet: a.Sheet}
		rows[sheet] = append(rows[sheet], a)
	}
	var out []record.Finding
	for sheet, also := range rows {
		slices.SortFunc(also, record.Address.Compare)
		out = append(out, record.Finding{Rule: rule, Level: record.Warning, At: sheet, Also: also, Field: field,
			Reason:  fmt.Sprintf(reason, len(also)),
			Figures: []record.Figure{{Name: "n", Value: float64(len(also))}}})
	}
	record.SortFindings(out)
	return out
}

// people gives the observers of a table, in the order of their names.
func (t *table) people() []string {
	var out []string
	for _, r := range t.readings {
		if len(out) == 0 || out[len(out)-1] != r.observer {
			out = append(out, r.observer)
		}
	}
	return out
}

// byIndividual gives the readings of one observer, in the order of repeats.
func (t *table) byIndividual(observer string) map[string][]float64 {
	out := map[string][]float64{}
	for _, r := range t.readings {
		if r.observer == observer {
			out[r.individual] = append(out[r.individual], r.value)
		}
	}
	return out
}
