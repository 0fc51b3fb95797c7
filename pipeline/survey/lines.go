package survey

import (
	"fmt"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
)

// lineMistakes checks the pass lines of observers: each is for a measurement
// of the vocabulary, and no two are for the same.
func (s *Survey) lineMistakes(doc *config.Document, known mapping.Known) config.Mistakes {
	var ms config.Mistakes
	lines, _ := s.Rules.Observers["lines"].([]any)
	seen := map[string]bool{}
	for i, l := range lines {
		line, _ := l.(map[string]any)
		name, _ := line["measurement"].(string)
		p := fmt.Sprintf("rules.observers.lines.%d", i)
		m := config.Mistake{File: doc.File, Line: doc.Line(p), Path: p}
		if seen[name] {
			m.Problem = fmt.Sprintf("is a second line for %q", name)
			if name == "" {
				m.Problem = "is a second line for all measurements without their own"
			}
			ms = append(ms, m)
		}
		seen[name] = true
		if name == "" || known.Measurement == nil {
			continue
		}
		if ok, nearest := known.Measurement(name); !ok {
			m.Path += ".measurement"
			m.Line = doc.Line(m.Path)
			m.Problem, m.Nearest = fmt.Sprintf("found %q, which is not in the measurement vocabulary", name), nearest
			ms = append(ms, m)
		}
	}
	return ms
}

// repeatMistakes checks what is said of repeatability.
func (s *Survey) repeatMistakes(doc *config.Document, known mapping.Known) config.Mistakes {
	var ms config.Mistakes
	for i, r := range s.Repeats {
		add := func(key, problem, nearest string) {
			p := fmt.Sprintf("repeatability.%d.%s", i, key)
			ms = append(ms, config.Mistake{File: doc.File, Line: doc.Line(p), Path: p, Problem: problem, Nearest: nearest})
		}
		if known.Measurement != nil {
			if ok, nearest := known.Measurement(r.Measurement); !ok {
				add("measurement", fmt.Sprintf("found %q, which is not in the measurement vocabulary", r.Measurement), nearest)
				continue
			}
		}
		if r.Unit == "" || known.UnitOf == nil {
			continue
		}
		if unit := known.UnitOf(r.Measurement); quantity.Dimension(r.Unit) != quantity.Dimension(unit) {
			add("unit", fmt.Sprintf("found %q, which is not a unit that %s can be measured in, such as %s", r.Unit, r.Measurement, unit), "")
		}
	}
	return ms
}
