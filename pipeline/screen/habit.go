package screen

import (
	"cmp"
	"fmt"
	"slices"

	"spadefoot/pipeline/record"
)

// habits looks at how hands write rather than at animals: last digits that an
// observer prefers, runs of identical values, masses that stop where a scale
// ends, an observer who reads larger or smaller than the others. All are
// notes, at the first cell that they are about.
func habits(captures []*record.Capture, j *search) []record.Finding {
	hands := handsOf(captures)
	findings := preferredDigits(hands, j.f.settings)
	findings = append(findings, repeatedValues(captures, j.f.settings)...)
	findings = append(findings, endOfScale(captures)...)
	return append(findings, observerBias(j)...)
}

// hand is what one observer read of one measurement.
type hand struct {
	observer    string
	measurement string
	readings    []*record.Reading
	keys        []string // of the captures
}

// handsOf sorts readings that a person wrote by observer and measurement.
// Captures must be in the order of their addresses.
func handsOf(captures []*record.Capture) []hand {
	found := map[[2]string]*hand{}
	for _, c := range captures {
		observer := c.Get("recordedBy")
		for i := range c.Readings {
			r := &c.Readings[i]
			if r.Derived || r.State != record.Measured {
				continue
			}
			key := [2]string{observer, r.Measurement}
			if found[key] == nil {
				found[key] = &hand{observer: observer, measurement: r.Measurement}
			}
			h := found[key]
			h.readings, h.keys = append(h.readings, r), append(h.keys, c.Key)
		}
	}
	hands := make([]hand, 0, len(found))
	for _, h := range found {
		hands = append(hands, *h)
	}
	slices.SortFunc(hands, func(a, b hand) int {
		return cmp.Or(cmp.Compare(a.observer, b.observer), cmp.Compare(a.measurement, b.measurement))
	})
	return hands
}

func (h *hand) said() string {
	who := h.observer
	if who == "" {
		who = "observers without a name"
	}
	return fmt.Sprintf("%s by %s, n = %d", label(h.measurement), who, len(h.readings))
}

// finding starts a finding on a hand at its first reading.
func (h *hand) finding(rule string) record.Finding {
	return record.Finding{Rule: rule, Level: record.Note, At: h.readings[0].From, Capture: h.keys[0],
		Field: h.measurement, Value: h.readings[0].Verbatim, Group: h.said()}
}
