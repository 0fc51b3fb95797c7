package observers

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

func notRepeated(t *table, m Measurement) record.Finding {
	at := t.readings[0].at
	for _, x := range t.readings {
		if x.at.Before(at) {
			at = x.at
		}
	}
	return record.Finding{Rule: "readings-not-repeated", Level: record.Note, At: record.Address{File: at.File, Sheet: at.Sheet},
		Field: t.name, Group: fmt.Sprintf("%d observers, %d individuals", len(m.Observers), m.Individuals),
		Reason:  "nobody can be assessed on this measurement: " + m.BetweenMissing,
		Figures: []record.Figure{{Name: "n", Value: float64(len(t.readings))}}}
}

// nothing says what is missing where nobody got a verdict on anything. The
// address is that of the first sheet; empty where there is none.
func (g *Comparison) nothing(tables []*table, r Result) []record.Finding {
	for _, o := range r.Observers {
		if slices.ContainsFunc(o.Scores, func(sc Score) bool { return sc.Verdict != NotEnough }) {
			return nil
		}
	}
	readings, repeats, shared := 0, 0, 0
	for _, t := range tables {
		readings += len(t.readings)
		byPerson, byIndividual := map[[2]string]int{}, map[string]map[string]bool{}
		for _, x := range t.readings {
			byPerson[[2]string{x.observer, x.individual}]++
			if byIndividual[x.individual] == nil {
				byIndividual[x.individual] = map[string]bool{}
			}
			byIndividual[x.individual][x.observer] = true
		}
		for _, n := range byPerson {
			repeats += min(n/2, 1)
		}
		for _, people := range byIndividual {
			shared += min(len(people)/2, 1)
		}
	}
	return []record.Finding{{Rule: "nothing-to-compare", Level: record.Warning, At: g.first,
		Reason: fmt.Sprintf("nobody can be assessed. Rows: %d; without an individual: %d; without a clear observer: %d. Readings left: %d; of these repeated by the same observer: %d; taken by a second observer: %d. A verdict needs %d individuals",
			g.captures, g.nameless.count(), g.nobody.count(), readings, repeats, shared, g.settings.Least),
		Figures: []record.Figure{{Name: "n", Value: float64(readings)}, {Name: "repeated", Value: float64(repeats)}, {Name: "shared", Value: float64(shared)}}}}
}

// unused names the individuals of known size that nobody read. Row is the line
// of the table of known sizes; the caller knows its file.
func (g *Comparison) unused() []record.Finding {
	var names []string
	var at []record.Address
	for _, k := range g.known {
		if !g.seen[k.Individual] && !slices.Contains(names, k.Individual) {
			names = append(names, k.Individual)
			at = append(at, record.Address{Row: k.Line})
		}
	}
	if len(names) == 0 {
		return nil
	}
	slices.Sort(names)
	sorting.Func(at, record.Address.Compare)
	return []record.Finding{{Rule: "known-size-unused", Level: record.Warning, At: at[0], Also: at[1:], Field: "organismID",
		Value:   strings.Join(names, ", "),
		Reason:  fmt.Sprintf("individuals of known size that nobody measured: %d; a label may be spelled differently", len(names)),
		Figures: []record.Figure{{Name: "n", Value: float64(len(names))}}}}
}
