package typing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"spadefoot/pipeline/record"
)

// names of readings that are spoken of.
const (
	bodyMass = "bodyMass"
	maxSaid  = 3 // sizes of an earlier capture
)

// Earlier says what is known of an animal by its mark: when it was last caught,
// as what and how large, and how often. Captures are in the order of their dates,
// and label names a measurement for people. It is empty where there is no
// capture.
func Earlier(mark string, captures []*record.Capture, label func(string) string) string {
	if len(captures) == 0 {
		return ""
	}
	c := captures[len(captures)-1]
	var what []string
	for _, term := range []string{"sex", "lifeStage"} {
		if w := c.Get(term); w != "" {
			what = append(what, w)
		}
	}
	said := 0
	for i := range c.Readings {
		r := &c.Readings[i]
		if said == maxSaid || !r.Usable() || r.Undecided != "" || r.Replicate > 1 || r.Derived && r.Measurement != bodyMass {
			continue
		}
		said++
		what = append(what, fmt.Sprintf("%s %s %s", label(r.Measurement), r.Text, r.Unit))
	}
	s := fmt.Sprintf("%s was caught %s", mark, when(c.Get("eventDate")))
	if len(what) > 0 {
		s += ": " + strings.Join(what, ", ")
	}
	if name := c.Get("scientificName"); name != "" {
		s += ", " + name
	}
	if site := c.Get("locality"); site != "" {
		s += ", at " + site
	}
	if n := len(captures); n > 1 {
		s += fmt.Sprintf(" (%d captures so far)", n)
	}
	return s + "."
}

// when writes a date within a sentence.
func when(date string) string {
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		if date == "" {
			return "earlier"
		}
		return "in " + date
	}
	return "on " + day.Format("2 January 2006")
}

// Bag compares the tare of a capture with those of the same bag in the same
// evening; where the bags have no labels, with all of that evening. differs tells
// that this one is another mass than all of them. It is empty where there is
// nothing to compare.
func Bag(c *record.Capture, evening []*record.Capture) (said string, differs bool) {
	if c.Weighing == nil || c.Weighing.Tare == nil || !c.Weighing.Tare.Usable() || c.Weighing.Way != record.SameRow {
		return "", false
	}
	tare := c.Weighing.Tare
	var others []*record.Reading
	for _, e := range evening {
		if w := e.Weighing; e != c && w != nil && w.Tare != nil && w.Tare.Usable() && w.BagLabel == c.Weighing.BagLabel {
			others = append(others, w.Tare)
		}
	}
	if len(others) < 2 {
		return "", false
	}
	least := slices.MinFunc(others, byNumber)
	most := slices.MaxFunc(others, byNumber)
	what := "This bag"
	if c.Weighing.BagLabel != "" {
		what = "Bag " + c.Weighing.BagLabel
	}
	if least.Number == most.Number {
		said = fmt.Sprintf("%s was %s %s all evening", what, most.Text, most.Unit)
	} else {
		said = fmt.Sprintf("%s was %s to %s %s this evening", what, least.Text, most.Text, most.Unit)
	}
	said += fmt.Sprintf(" (weighed %d times)", len(others))
	differs = tare.Number < least.Number || tare.Number > most.Number
	if differs {
		said += fmt.Sprintf("; here it is %s %s", tare.Text, tare.Unit)
	}
	return said + ".", differs
}

func byNumber(a, b *record.Reading) int { return cmp.Compare(a.Number, b.Number) }

// Net says what the animal weighs and how well that is known; empty where no
// mass came of the weighing.
func Net(c *record.Capture) string {
	r := c.Reading(bodyMass)
	if r == nil {
		return ""
	}
	s := fmt.Sprintf("Net %s %s", r.Text, r.Unit)
	if r.Accuracy > 0 {
		s += fmt.Sprintf(" ± %.2g %s", r.Accuracy, r.Unit)
	}
	return s
}
