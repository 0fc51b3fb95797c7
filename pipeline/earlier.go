package pipeline

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/weigh"
)

// maxEarlier bounds the captures of an animal that are shown beside a proposal:
// the latest ones.
const maxEarlier = 12

// seen is a capture of a marked animal, in a line.
type seen struct {
	date, said string
	at         record.Address
}

// showEarlier puts the captures of the same animal before its own beside each
// proposal. It goes through the captures twice: for the marks of those that are
// asked about, and for all captures of these animals.
func (w *walk) showEarlier(rows []remedy.Proposal) error {
	asked := map[record.Address][]int{} // proposals by row
	for i := range rows {
		if rows[i].At.Row > 0 {
			at := rows[i].At.OfRow()
			asked[at] = append(asked[at], i)
		}
	}
	of, own := make([]string, len(rows)), make([]seen, len(rows))
	marks := map[string][]seen{}
	err := w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			for at := range rowsOfCapture(c) {
				for _, i := range asked[at] {
					if mark := strings.Clone(c.Mark()); mark != "" {
						of[i], own[i], marks[mark] = mark, w.seenAs(c), nil
					}
				}
			}
		}
		return nil
	})
	if err != nil || len(marks) == 0 {
		return err
	}
	err = w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			if _, is := marks[c.Mark()]; is {
				mark := strings.Clone(c.Mark())
				marks[mark] = append(marks[mark], w.seenAs(c))
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for i := range rows {
		rows[i].Before = before(marks[of[i]], own[i])
		rows[i].Earlier = strings.Join(rows[i].Before, "\n")
	}
	return nil
}

// rowsOfCapture are the rows of the sheet that a capture was read from.
func rowsOfCapture(c *record.Capture) map[record.Address]bool {
	rows := map[record.Address]bool{c.Address(): true}
	for i := range c.Readings {
		if from := c.Readings[i].From; from.File == c.File && from.Sheet == c.Sheet {
			rows[from.OfRow()] = true
		}
	}
	return rows
}

// before lists the captures of an animal before one of them, in the order of
// their dates; those without a date come first.
func before(all []seen, own seen) []string {
	var out []string
	sorting.StableFunc(all, func(a, b seen) int { return cmp.Or(strings.Compare(a.date, b.date), a.at.Compare(b.at)) })
	for _, s := range all {
		if s.at != own.at && (own.date == "" || s.date < own.date || s.date == own.date && s.at.Before(own.at)) {
			out = append(out, s.said)
		}
	}
	return out[max(0, len(out)-maxEarlier):]
}

// seenAs tells a capture in a line: when and where it stands, what the animal is,
// and what was measured.
func (w *walk) seenAs(c *record.Capture) seen {
	parts := []string{c.Get("eventDate"), c.Key}
	for _, term := range []string{"scientificName", "sex", "lifeStage"} {
		parts = append(parts, c.Get(term))
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Usable() && r.Text != "" && (!r.Derived || r.Measurement == weigh.BodyMass) {
			parts = append(parts, fmt.Sprintf("%s %s %s", w.survey.Measures().Get(r.Measurement).Label, r.Text, r.Unit))
		}
	}
	parts = slices.DeleteFunc(parts, func(p string) bool { return p == "" })
	return seen{date: strings.Clone(c.Get("eventDate")), at: c.Address().Kept(), said: strings.Join(slices.Compact(parts), ", ") + " (" + c.Address().String() + ")"}
}
