package observers

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// Result analyses the repeated readings of the captures.
func (g *Comparison) Result() Result {
	var r Result
	s := g.settings
	g.findings = append(g.findings, perSheet(g.nobody, "observer-unclear", "measurementDeterminedBy", "rows without an observer, or with several names: %d")...)
	g.findings = append(g.findings, perSheet(g.nameless, "individual-missing", "organismID", "rows without an individual and without repeats: %d")...)
	tables := g.sorted()
	r.Findings = g.findings
	scores := map[string][]Score{}
	for _, t := range tables {
		m := t.between(s)
		r.Measurements = append(r.Measurements, m)
		judged := 0
		for _, who := range t.people() {
			sc := t.score(who, s)
			scores[who] = append(scores[who], sc)
			if sc.Verdict != NotEnough {
				judged++
			}
		}
		if m.BetweenMissing != "" && judged == 0 {
			r.Findings = append(r.Findings, notRepeated(t, m))
		}
	}
	for _, who := range slices.Sorted(maps.Keys(scores)) {
		r.Observers = append(r.Observers, summarise(who, scores[who]))
	}
	r.Findings = append(r.Findings, g.nothing(tables, r)...)
	r.Findings = append(r.Findings, g.unused()...)
	record.SortFindings(r.Findings)
	return r
}

// between compares the observers with each other.
func (t *table) between(s Settings) Measurement {
	m := Measurement{Name: t.name, Unit: t.unit, Observers: t.people()}
	first := map[string]map[string]float64{} // individual, observer
	for _, r := range t.readings {
		if first[r.individual] == nil {
			first[r.individual] = map[string]float64{}
		}
		if _, done := first[r.individual][r.observer]; !done {
			first[r.individual][r.observer] = r.value
		}
	}
	m.Individuals = len(first)
	individuals := slices.Sorted(maps.Keys(first))
	var rows [][]float64
	for _, id := range individuals {
		var row []float64
		for _, who := range slices.Sorted(maps.Keys(first[id])) {
			row = append(row, first[id][who])
		}
		rows = append(rows, row)
	}
	var err error
	if m.Between, err = statistics.MeasurementError(rows, s.Level); err != nil {
		m.Between, m.BetweenMissing = statistics.TechnicalError{}, reasonOf(err, "fewer than two individuals were read by two observers")
	}
	m.forms(first, individuals, s)
	return m
}

// forms takes the observers that share enough individuals: while too few are
// shared, the one with the fewest individuals is left out, the last by name
// first.
func (m *Measurement) forms(first map[string]map[string]float64, individuals []string, s Settings) {
	count := map[string]int{}
	for _, values := range first {
		for who := range values {
			count[who]++
		}
	}
	people := slices.Clone(m.Observers)
	for {
		rows := shared(first, individuals, people)
		if len(rows) >= max(s.Least, 2) || len(people) <= 2 {
			forms, err := statistics.Intraclasses(rows, s.Level)
			if err != nil {
				m.FormsMissing = reasonOf(err, "fewer than two individuals were read by two observers")
				return
			}
			m.Forms, m.FormsObservers, m.FormsIndividuals = forms, people, len(rows)
			return
		}
		fewest := 0
		for i := range people {
			if count[people[i]] <= count[people[fewest]] {
				fewest = i
			}
		}
		people = slices.Delete(people, fewest, fewest+1)
	}
}

func shared(first map[string]map[string]float64, individuals, people []string) [][]float64 {
	var rows [][]float64
	for _, id := range individuals {
		if len(first[id]) < len(people) {
			continue
		}
		var row []float64
		for _, who := range people {
			if v, ok := first[id][who]; ok {
				row = append(row, v)
			}
		}
		if len(row) == len(people) {
			rows = append(rows, row)
		}
	}
	return rows
}

// score judges one observer.
func (t *table) score(who string, s Settings) Score {
	own := t.byIndividual(who)
	individuals := slices.Sorted(maps.Keys(own))
	sc := Score{Measurement: t.name, Unit: t.unit, Individuals: len(own)}
	var rows [][]float64
	for _, id := range individuals {
		rows = append(rows, own[id])
		sc.Readings += len(own[id])
	}
	var err error
	if sc.Within, err = statistics.MeasurementError(rows, s.Level); err != nil {
		sc.Within, sc.WithinMissing = statistics.TechnicalError{}, reasonOf(err, "fewer than two individuals were read twice")
	}
	if sc.Forms, err = statistics.Intraclasses(repeats(rows), s.Level); err != nil {
		sc.FormsMissing = reasonOf(err, "fewer than two individuals were read twice")
	}
	t.bias(&sc, who, own, individuals, s)
	sc.judge(s.LineFor(t.name), s)
	return sc
}

// repeats returns the first k readings of every individual that was read twice or
// more, k being the fewest of them.
func repeats(rows [][]float64) [][]float64 {
	k := 0
	var out [][]float64
	for _, row := range rows {
		if len(row) < 2 {
			continue
		}
		if k == 0 || len(row) < k {
			k = len(row)
		}
		out = append(out, row)
	}
	for i := range out {
		out[i] = out[i][:k]
	}
	return out
}

// bias compares the observer with the known sizes, and where there is none with
// the instructor.
func (t *table) bias(sc *Score, who string, own map[string][]float64, individuals []string, s Settings) {
	instructor := map[string][]float64{}
	if s.Instructor != "" && s.Instructor != who {
		instructor = t.byIndividual(s.Instructor)
	}
	if len(t.known)+len(instructor) == 0 {
		sc.BiasMissing = "no known sizes and no instructor to compare with"
		if s.Instructor == who {
			sc.BiasMissing = "is the reference"
		}
		return
	}
	var a, b [][]float64
	var sum float64
	byKnown, byInstructor := false, false
	for _, id := range individuals {
		size, isKnown := t.known[id]
		ref := instructor[id]
		switch {
		case isKnown:
			ref, byKnown = []float64{size}, true
		case len(ref) > 0:
			byInstructor = true
		default:
			continue
		}
		a, b = append(a, own[id]), append(b, ref)
		p := Pair{Individual: id, Observed: statistics.Mean(own[id]), Reference: statistics.Mean(ref)}
		sc.Pairs = append(sc.Pairs, p)
		sum += p.Reference
	}
	sc.Reference = referenceOf(byKnown, byInstructor, s.Instructor)
	var err error
	if sc.Bias, err = statistics.BlandAltmanRepeated(a, b, s.Level); err != nil {
		sc.Bias, sc.BiasMissing = statistics.Limits{}, reasonOf(err, "fewer than two individuals shared with the reference")
		return
	}
	percent := 100 * float64(len(sc.Pairs)) / sum
	v := sc.Bias.Bias
	sc.RelativeBias = statistics.Bounded{Value: v.Value * percent, Low: v.Low * percent, High: v.High * percent}
}

// referenceOf names what an observer was compared with.
func referenceOf(known, instructor bool, name string) string {
	var of []string
	if known {
		of = append(of, "known sizes")
	}
	if instructor {
		of = append(of, "readings by "+name)
	}
	return strings.Join(of, " and ")
}

func reasonOf(err error, few string) string {
	if errors.Is(err, statistics.ErrTooFewReadings) {
		return few
	}
	return err.Error()
}
