package withhold

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// Veil is in a cell or a text in place of what is withheld.
const Veil = "withheld"

// tellsPlace reports whether the cells of a column may tell a place: all may but
// those of measurements, weighings and the terms that stay.
func tellsPlace(c *record.Column) bool {
	switch c.Meaning.Role {
	case record.Term:
		return !Keeps(c.Meaning.Term)
	case record.Measurement, record.WeighPart, record.NameColumn, record.ValueColumn, record.UnitColumn:
		return false
	}
	return true
}

// tells reports whether a text in a column may tell the place of a capture.
func (h *Hidden) tells(c *record.Column, text string) bool {
	if text == "" {
		return false
	}
	if c.Meaning.Role == record.Term {
		_, ok := h.keep(record.Value{Field: record.Of(c.Meaning.Term), Text: text}, true)
		return !ok || h.secret.sharesWord(text) && !strings.HasPrefix(c.Meaning.Term, "recordedBy")
	}
	if c.Meaning.Role == record.NameColumn {
		known := h.among.settings.Known
		return h.secret.inText(text, true) || known == nil || !known("measurementType", text)
	}
	if c.Meaning.Role == record.WeighPart && c.Meaning.Part == record.Scale && h.tool(text) {
		return false
	}
	return tellsPlace(c) || !plain(text) || h.secret.inText(text, true)
}

// maskTable hides what may tell the place in the rows of hidden captures, and
// in what is above them.
func (r *Hiding) maskTable(t *record.Table) {
	some := r.part.rows[rowOf{t.File, t.Sheet, t.Index, 0}] != nil
	for i := range t.Rows {
		row := &t.Rows[i]
		h := r.part.rows[rowOf{t.File, t.Sheet, t.Index, row.Number}]
		if h == nil {
			continue
		}
		some = true
		for k := range row.Cells {
			if h.maskCell(&row.Cells[k], &t.Columns[k]) {
				r.part.veiled[t.Address(row.Cells[k])] = true
			}
		}
		for k := range row.Labels {
			h.maskCell(&row.Labels[k].Cell, &record.Column{})
		}
	}
	if !some {
		return
	}
	for i := range t.Labels {
		l := &t.Labels[i]
		if !r.safeLabel(t, l) {
			l.Cell.Text = Veil
			l.Cell.SetWritten("")
			l.Cell.SetComment("")
		}
	}
}

// maskCell hides the texts of a cell and reports whether there was one.
func (h *Hidden) maskCell(c *record.Cell, col *record.Column) bool {
	text, written := h.tells(col, c.Text), h.tells(col, c.Written())
	c.SetComment("")
	if text {
		c.Text = Veil
	}
	if written {
		c.SetWritten(Veil)
	}
	return text || written
}

// safeLabel reports whether what is above a table tells no place: its
// column is of a term that stays.
func (r *Hiding) safeLabel(t *record.Table, l *record.Label) bool {
	if strings.TrimSpace(l.Name) == "" || contains(tokens(l.Cell.Text), r.all) {
		return false
	}
	i := slices.IndexFunc(t.Columns, func(c record.Column) bool { return fold(c.Heading) == fold(l.Name) })
	return i >= 0 && !tellsPlace(&t.Columns[i])
}

// maskFindings hides what findings on hidden captures tell of the place. A
// finding that stands for cells of hidden captures and of others is parted.
func (r *Hiding) maskFindings(fs []record.Finding, o *owned) []record.Finding {
	var out []record.Finding
	for _, f := range fs {
		shown, hidden := o.parted(f)
		if shown != nil {
			r.maskShown(shown, o.byKey[shown.Capture], o)
			out = append(out, *shown)
		}
		if hidden != nil {
			h := o.cells[hidden.At]
			h.maskFinding(hidden, o.columns[hidden.At], r.all)
			out = append(out, *hidden)
		}
	}
	return out
}

// maskShown hides what a finding reveals that is on no cell of a hidden capture:
// one in another file that speaks of such a capture, h, and one on the text
// around the tables of a sheet.
func (r *Hiding) maskShown(f *record.Finding, h *Hidden, o *owned) {
	if h != nil && (f.At.File != h.Capture.File || f.At.Row == 0) {
		h.maskFinding(f, nil, r.all)
		return
	}
	beside := r.around[record.Address{File: f.At.File, Sheet: f.At.Sheet}]
	loose := beside != nil && !o.tables[f.At] &&
		(f.Value != "" && f.At.Row > 0 && f.Rule != "heading-unmatched" || beside.sharesWord(f.Value+" "+f.Reason+" "+f.Suggestion))
	if loose || r.Guard.finds(f) {
		veilFinding(f)
	}
}

// parted splits a finding between cells that are shown and cells that are
// hidden. One with a single cause in several cells stays whole.
func (o *owned) parted(f record.Finding) (shown, hidden *record.Finding) {
	if !f.Gathered() {
		if o.cells[f.At] != nil {
			return nil, &f
		}
		return &f, nil
	}
	var open, closed []record.Address
	for _, at := range f.Places() {
		if o.cells[at] != nil {
			closed = append(closed, at)
		} else {
			open = append(open, at)
		}
	}
	return regroup(f, open), regroup(f, closed)
}

func regroup(f record.Finding, at []record.Address) *record.Finding {
	if len(at) == 0 {
		return nil
	}
	if at[0] != f.At {
		f.Capture = ""
		if !strings.Contains(f.Reason, strconv.Quote(f.Value)) {
			f.Value = "" // of the first cell only
		}
	}
	f.At, f.Also = at[0], at[1:]
	f.Gather(len(at))
	return &f
}

// maskFinding hides what a finding on the capture tells of the place. Without
// a column its field decides.
func (h *Hidden) maskFinding(f *record.Finding, col *record.Column, all []phrase) {
	f.Capture = h.Capture.Key
	if h.session != "" {
		f.Group = strings.ReplaceAll(f.Group, h.session, h.Capture.Session)
		f.Reason = strings.ReplaceAll(f.Reason, h.session, h.Capture.Session)
	}
	tells := placeTerm(f.Field) || !h.safeField(f.Field, col)
	if col != nil {
		tells = tells || h.tells(col, f.Value)
	}
	if col == nil && f.Value != "" {
		tells = tells || !h.says(f.Field, f.Value) && !plain(f.Value)
	}
	for _, text := range []string{f.Value, f.Reason, f.Suggestion, f.Group} {
		tells = tells || contains(tokens(text), all) || contains(tokens(text), h.gone)
	}
	tells = tells || f.Field == "key" && h.secret.inText(f.Value, true)
	if tells {
		veilFinding(f)
	}
}

// safeField reports whether findings on a field may quote it: a term that
// stays, a reading of the capture, or a column that is known to be safe.
func (h *Hidden) safeField(field string, col *record.Column) bool {
	if col != nil {
		return !tellsPlace(col) || Keeps(field)
	}
	c := h.Capture
	return field == "" || field == "key" || Keeps(field) ||
		slices.ContainsFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == field })
}

// veilFinding leaves of a finding what it is about and where.
func veilFinding(f *record.Finding) {
	reason := cmp.Or(schemas.RuleOf()[f.Rule].Summary, "there is a doubt")
	f.Value, f.Suggestion, f.Group, f.Figures, f.Rewrites = "", "", "", nil, nil
	f.Reason = reason + " (the text is " + Veil + " because the place is sensitive)"
	if f.Gathered() {
		f.Gather(len(f.Also) + 1)
	}
}
