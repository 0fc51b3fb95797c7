package withhold

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// mask takes the place out of the capture and keeps what it takes.
func (h *Hidden) mask(s Settings) {
	c := h.Capture
	h.Values = everything(c)
	point := pointOf(c)
	kept := c.Values[:0:0]
	for _, v := range c.Values {
		if v, ok := h.keep(v, written(&v, c)); ok {
			kept = append(kept, v)
		}
	}
	c.Hold(kept)
	region := regionOf(c)
	h.lose()
	c.Remarks, c.Extras = nil, nil
	for i := range c.Cells {
		c.Cells[i].Text = "" // it may have been published, or not: nobody learns which
	}
	h.maskReadings()
	h.publishPlace(point, region)
	h.rename(s)
}

// everything is what the capture held, under terms and headings.
func everything(c *record.Capture) []record.Value {
	out := append([]record.Value(nil), c.Values...)
	if len(c.Remarks) > 0 {
		text := strings.Join(c.Remarks, " | ")
		if old := c.Get("occurrenceRemarks"); old != "" {
			text = old + " | " + text
		}
		both := record.Capture{Values: out}
		both.Set(record.Value{Field: record.Of("occurrenceRemarks"), Text: text})
		out = both.Values
	}
	for _, e := range c.Extras {
		out = append(out, record.Value{Field: record.Of(e.Heading), Text: e.Text, Verbatim: e.Text}.At(e.From))
	}
	return out
}

// keep decides on one value: the term must be safe, and so must its text, which
// may be anything if it was written in the sheet.
func (h *Hidden) keep(v record.Value, written bool) (record.Value, bool) {
	if !h.Rule.keeps(v.Term) || h.secret.inText(v.Text, identifies(v.Term)) || h.secret.inText(v.Remark, false) || written && !h.says(v.Term, v.Text) {
		return v, false
	}
	if v.Verbatim != v.Text && (h.secret.inText(v.Verbatim, true) || h.secret.sharesWord(v.Verbatim) || written && !h.says(v.Term, v.Verbatim)) {
		v.Verbatim = ""
	}
	return v, true
}

// lose notes the texts that the capture does not have any more, so that no
// finding quotes one of them.
func (h *Hidden) lose() {
	had := slices.Clone(h.Values)
	for _, r := range h.Capture.Readings {
		if !safeReading(&r) {
			had = append(had, record.Value{Verbatim: r.Verbatim})
		}
	}
	for _, v := range had {
		for _, text := range []string{v.Text, v.Verbatim} {
			p := tokens(text)
			letters, digits := p.count()
			stays := slices.ContainsFunc(h.Capture.Values, func(k record.Value) bool { return k.Text == text || k.Verbatim == text })
			if !stays && (letters >= 4 || digits >= 4) && !has(h.gone, p) {
				h.gone = append(h.gone, p)
			}
		}
	}
}

// identifies reports whether a term names the capture or the animal: in such a
// text a short code is enough to tell the place.
func identifies(term string) bool {
	return strings.HasSuffix(term, "ID") || strings.HasSuffix(term, "Number") || term == "organismName"
}

// rename makes key and session from what is left of the place.
func (h *Hidden) rename(s Settings) {
	c := h.Capture
	if c.Session != "" {
		c.Session = h.joined(s.Session, " ")
		for _, term := range []string{"decimalLatitude", "decimalLongitude"} {
			if v := c.Get(term); v != "" {
				c.Session += " / " + v
			}
		}
		c.Session += " / place withheld"
	}
	if strings.HasPrefix(c.Key, "(") && s.Key != nil && len(h.strip(s.Key)) == 0 {
		return // named after its row
	}
	changed := h.secret.inText(c.Key, true)
	if s.Key != nil {
		for _, term := range s.Key(c) {
			changed = changed || valueIn(h.Values, term) != c.Get(term)
		}
	}
	if changed {
		if c.Key = h.joined(s.Key, "withheld"); c.Key == "" || h.secret.inText(c.Key, true) {
			c.Key = "withheld"
		}
	}
}

// strip lists the terms of which the capture had a value.
func (h *Hidden) strip(terms func(*record.Capture) []string) (had []string) {
	for _, t := range terms(h.Capture) {
		if valueIn(h.Values, t) != "" {
			had = append(had, t)
		}
	}
	return had
}

// joined joins what is left of the values of terms; a value that was withheld
// or replaced is written as the word given.
func (h *Hidden) joined(terms func(*record.Capture) []string, instead string) string {
	if terms == nil {
		return ""
	}
	var parts []string
	for _, term := range terms(h.Capture) {
		v := h.Capture.Get(term)
		if v != valueIn(h.Values, term) && (v == "" || instead != " ") {
			v = instead
		}
		if strings.TrimSpace(v) != "" {
			parts = append(parts, v)
		}
	}
	return strings.Join(parts, " / ")
}

func valueIn(vs []record.Value, term string) string {
	for _, v := range vs {
		if v.Term == term {
			return v.Text
		}
	}
	return ""
}
