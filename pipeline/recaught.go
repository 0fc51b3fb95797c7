package pipeline

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// maxRecaught bounds the remarks that name an animal and are told.
const maxRecaught = 100_000

// recaught is a capture of which a remark says that its animal was caught before.
type recaught struct {
	mark, term, text string
	at               record.Address
}

// recaughtIn reads the remarks of a capture. The mark that the capture has itself
// is no news.
func recaughtIn(c *record.Capture) (said recaught, ok bool) {
	try := func(term, text string, at record.Address) {
		if ok || text == "" {
			return
		}
		if mark, names := vocabulary.Recaught(text); names && !sameMark(mark, c.Get("organismID")) {
			said, ok = recaught{strings.Clone(mark), term, strings.Clone(text), at.Kept()}, true
		}
	}
	for i := range c.Values {
		if v := &c.Values[i]; strings.HasSuffix(v.Term, "Remarks") || v.Term == "fieldNotes" || v.Term == "associatedOrganisms" {
			try(v.Term, cmp.Or(v.Verbatim, v.Text), v.From)
		}
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Remark != "" && !r.Derived {
			try(r.Measurement, r.Verbatim, r.From)
		}
	}
	for i := range c.Extras {
		try(strings.Clone(c.Extras[i].Heading), c.Extras[i].Text, c.Extras[i].From)
	}
	return said, ok
}

func sameMark(a, b string) bool { return vocabulary.Fold(a) == vocabulary.Fold(b) }

// findRecaught looks for the animals that remarks name among the marks, and among
// the keys and numbers, of all captures. The first capture of each is shown.
func (w *walk) findRecaught(v *verdicts) error {
	if len(w.learned.recaught) == 0 {
		return nil
	}
	v.known = map[string]seen{}
	for _, r := range w.learned.recaught {
		v.known[vocabulary.Fold(r.mark)] = seen{}
	}
	return w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			for _, name := range []string{c.Get("organismID"), c.Key, c.Get("recordNumber"), c.Get("catalogNumber")} {
				key := vocabulary.Fold(name)
				if old, asked := v.known[key]; asked && name != "" {
					if s := (seen{date: strings.Clone(c.Get("eventDate")), said: strings.Clone(c.Key), at: c.Address().Kept()}); old.at.File == "" || s.date < old.date {
						v.known[key] = s
					}
				}
			}
		}
		return nil
	})
}

// offerLinks tells of the captures of the part in hand whose remarks say that the
// animal was caught before. Nothing is linked by that.
func (w *walk) offerLinks(from int, v *verdicts) {
	for i, c := range w.captures {
		r, said := w.learned.recaught[from+i]
		if !said {
			continue
		}
		f := record.Finding{Rule: "recapture-said", Level: record.Note, At: r.at, Capture: c.Key, Field: r.term, Value: r.text}
		switch k := v.known[vocabulary.Fold(r.mark)]; {
		case k.at.File == "" || k.at == c.Address():
			f.Reason = fmt.Sprintf("the remark says that this animal is %s, and no other capture has that as its mark or number", r.mark)
		default:
			f.Also = []record.Address{k.at}
			f.Reason = fmt.Sprintf("the remark says that this animal is %s, which was caught before (%s); they are not linked", r.mark,
				strings.Join(slices.DeleteFunc([]string{k.date, k.said, k.at.String()}, func(s string) bool { return s == "" }), ", "))
		}
		w.find(f)
	}
}
