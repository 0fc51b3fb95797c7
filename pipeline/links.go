package pipeline

import (
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// recaptureOf is the association of a capture with the one before it of the
// same animal.
const (
	recaptureOf   = "recapture of"
	recaptureTerm = "associatedOccurrences"
)

// linkMarks finds for each capture of a marked animal the one before it, by their
// ordinals. linkPart then says so, as associatedOccurrences. The mark itself
// (organismID) joins them all; the links give their order. Where that is not
// known, as for two captures of one day without a time of day, there is no link.
func (w *walk) linkMarks() error {
	w.before = map[int]int{}
	for group, err := range w.learned.marked.Groups() {
		if err != nil {
			return err
		}
		byMark := map[string][]*record.Capture{} // more than one where digests are equal by chance
		at := map[*record.Capture]int{}
		for _, n := range group {
			c, err := w.store.Find(n)
			if err != nil {
				return err
			}
			at[c] = n
			byMark[c.Mark()] = append(byMark[c.Mark()], c)
		}
		for _, captures := range byMark {
			w.follow(captures, at)
			for _, f := range following(captures) {
				w.before[at[f[1]]] = at[f[0]]
			}
		}
	}
	return nil
}

// follow lets the results follow an animal.
func (w *walk) follow(captures []*record.Capture, at map[*record.Capture]int) {
	ordinals := make([]int, len(captures))
	for i, c := range captures {
		ordinals[i] = at[c]
	}
	w.seasonal.gather.Follow(captures, ordinals)
}

// linkPart links the captures of the part in hand to those before them.
func (w *walk) linkPart(i int) error {
	from := w.store.First(i)
	for k, c := range w.captures {
		n, there := w.before[from+k]
		if !there {
			continue
		}
		before, err := w.store.Find(n)
		if err != nil {
			return err
		}
		link(c, before)
	}
	return nil
}

// following pairs the captures of one mark, each with the one before it.
func following(captures []*record.Capture) (out [][2]*record.Capture) {
	var before *record.Capture
	for _, day := range days(captures) {
		if !ordered(day) {
			before = nil
			continue
		}
		for _, c := range day {
			if before != nil {
				out = append(out, [2]*record.Capture{before, c})
			}
			before = c
		}
	}
	return out
}

// days parts captures by day, in the order of the days and, within one, of the
// times of day. Those of no single day are left out.
func days(captures []*record.Capture) [][]*record.Capture {
	byDay := map[string][]*record.Capture{}
	for _, c := range captures {
		if day := c.Get("eventDate"); len(day) == len("2006-01-02") {
			byDay[day] = append(byDay[day], c)
		}
	}
	var out [][]*record.Capture
	for _, day := range slices.Sorted(maps.Keys(byDay)) {
		sorting.StableFunc(byDay[day], func(a, b *record.Capture) int {
			return strings.Compare(a.Get("eventTime"), b.Get("eventTime"))
		})
		out = append(out, byDay[day])
	}
	return out
}

// ordered reports whether the times of the captures of one day tell them apart.
func ordered(day []*record.Capture) bool {
	for i, c := range day {
		if t := c.Get("eventTime"); len(day) > 1 && (t == "" || i > 0 && t == day[i-1].Get("eventTime")) {
			return false
		}
	}
	return true
}

// link adds to what a person wrote of associated occurrences.
func link(c, before *record.Capture) {
	id := before.Get("occurrenceID")
	if id == "" {
		id = before.ID
	}
	v := record.Value{Term: recaptureTerm, Text: darwincore.Relation(recaptureOf, id)}
	if old := c.Value(v.Term); old != nil && old.Text != "" {
		text := v.Text
		v = *old
		v.Text += " | " + text
	}
	c.Set(v)
}
