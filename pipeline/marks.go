package pipeline

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/weigh"
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
			for _, f := range recaptures.Following(captures) {
				w.before[at[f[1]]] = at[f[0]]
			}
		}
	}
	return nil
}

// follow lets the results follow an animal, where there will be any.
func (w *walk) follow(captures []*record.Capture, at map[*record.Capture]int) {
	if w.seasonal.gather == nil {
		return
	}
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
		recaptures.Link(c, recaptures.Identifier(before))
	}
	return nil
}

// findRecaught looks for the animals that remarks name among the marks, and among
// the keys and numbers, of all captures. The first capture of each is shown.
func (w *walk) findRecaught(v *verdicts) error {
	if len(w.learned.recaught) == 0 {
		return nil
	}
	v.known = w.learned.asked()
	return w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			recaptures.LookAmong(v.known, c)
		}
		return nil
	})
}

// asked are the animals that remarks name, none of them seen yet.
func (g *learned) asked() map[string]recaptures.Seen {
	out := map[string]recaptures.Seen{}
	for _, r := range g.recaught {
		out[vocabulary.Fold(r.Mark)] = recaptures.Seen{}
	}
	return out
}

// offerLinks tells of the captures of the part in hand whose remarks say that the
// animal was caught before. Nothing is linked by that.
func (w *walk) offerLinks(from int, v *verdicts) {
	for i, c := range w.captures {
		r, said := w.learned.recaught[from+i]
		if !said {
			continue
		}
		f := record.Finding{Rule: "recapture-said", Level: record.Note, At: r.At, Capture: c.Key, Field: r.Term, Value: r.Text}
		switch k := v.known[vocabulary.Fold(r.Mark)]; {
		case k.At.File == "" || k.At == c.Address():
			f.Reason = fmt.Sprintf("the remark says that this animal is %s, and no other capture has that as its mark or number", r.Mark)
		default:
			f.Also = []record.Address{k.At}
			f.Reason = fmt.Sprintf("the remark says that this animal is %s, which was caught before (%s); they are not linked", r.Mark,
				strings.Join(slices.DeleteFunc([]string{k.Date, k.Said, k.At.String()}, func(s string) bool { return s == "" }), ", "))
		}
		w.find(f)
	}
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
	of, own := make([]string, len(rows)), make([]recaptures.Seen, len(rows))
	marks := map[string][]recaptures.Seen{}
	err := w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			for at := range recaptures.RowsOf(c) {
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
		rows[i].Before = recaptures.Before(marks[of[i]], own[i])
		rows[i].Earlier = strings.Join(rows[i].Before, "\n")
	}
	return nil
}

// seenAs tells a capture in a line: when and where it stands, what the animal is,
// and what was measured.
func (w *walk) seenAs(c *record.Capture) recaptures.Seen {
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
	return recaptures.Seen{Date: strings.Clone(c.Get("eventDate")), At: c.Address().Clone(), Said: strings.Join(slices.Compact(parts), ", ") + " (" + c.Address().String() + ")"}
}
