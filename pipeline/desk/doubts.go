package desk

import (
	"context"
	"fmt"
	"hash/fnv"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/report"
)

// doubts is the page of what a person has to decide.
func doubts(d *Desk, mux *http.ServeMux) {
	mux.HandleFunc("GET /doubts", d.show(d.doubts))
	mux.HandleFunc("GET /doubts/decided", d.show(d.decided))
	mux.HandleFunc("POST /doubts/back", d.doAtOnce(d.takeBack))
	mux.HandleFunc("GET /doubts/page/{sheet}/{n}", d.scan)
	mux.HandleFunc("GET /doubts/no/{no}", d.doubtByNumber)
	mux.HandleFunc("GET /doubts/{id}", d.show(d.doubt))
	mux.HandleFunc("POST /doubts/{id}", d.decide)
}

// cause is what is decided on as one.
type cause struct {
	report.Cause
	ID        string // the same as long as the doubt is there
	proposals []*remedy.Proposal
}

func (c *cause) lead() *record.Finding { return c.Findings[0] }

// causes returns what is to be decided on, the most consequential first.
func (d *Desk) causes(ctx context.Context) ([]*cause, *walk, error) {
	w, err := d.survey(ctx)
	if err != nil {
		return nil, nil, err
	}
	w.mu.Lock()
	if w.causes == nil {
		w.causes = causesOf(w.Snapshot)
	}
	w.mu.Unlock()
	return d.leftOf(w, w.causes), w, nil
}

// of is how many causes the walk found.
func (w *walk) of() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.causes)
}

// picturesOf are those that show a cause, two at most.
func (w *walk) picturesOf(c *cause) (out []report.Picture) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.drawn {
		w.pictures, w.drawn = w.Gathered.Pictures("/doubts/no/"), true
	}
	for _, p := range w.pictures {
		if p.Shows(c.No) && len(out) < 2 {
			out = append(out, p)
		}
	}
	return out
}

// causesOf joins the causes with what may be decided on them.
func causesOf(r *pipeline.Snapshot) []*cause {
	by := map[remedy.Answer]*remedy.Proposal{}
	for i := range r.Proposals.Rows {
		p := &r.Proposals.Rows[i]
		if p.Action != remedy.Undecided {
			continue
		}
		for _, at := range p.Cells() {
			by[remedy.Answer{Rule: p.Rule, At: at}] = p
		}
	}
	var out []*cause
	for _, one := range r.Gathered.Causes() {
		c := &cause{Cause: one, ID: idOf(one.Findings[0])}
		for _, f := range one.Findings {
			if p := by[remedy.Answer{Rule: f.Rule, At: f.At}]; p != nil && !slices.Contains(c.proposals, p) {
				c.proposals = append(c.proposals, p)
			}
		}
		out = append(out, c)
	}
	return out
}

func idOf(f *record.Finding) string {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s\x00%s\x00%s\x00%s\x00%s", f.Rule, f.At, f.Capture, f.Field, f.Value)
	return strconv.FormatUint(h.Sum64(), 36)
}

// mark tells what is shown of a cause, and would be done about it, from what it was
// before a file changed.
func (c *cause) mark() string {
	var shown []byte
	for _, p := range c.proposals {
		shown = fmt.Appendf(shown, "%s\x00%s\x00%v\x00%s\x00%s\x00", p.Rule, p.At, p.Also, p.Found, p.Replacement)
	}
	return markOf(shown)
}

// doubtsView is the list of doubts.
type doubtsView struct {
	Errors, Warnings int
	Causes           []*cause
	Hidden           int
	Decided          int
	Last             string
}

// maxDoubts is how many causes the list shows.
const maxDoubts = 100

func (d *Desk) doubts(r *http.Request) (View, error) {
	v := View{Title: "Doubts", Template: "doubts.html"}
	if !d.described() {
		v.Data, v.Template = nil, "undescribed.html"
		return v, nil
	}
	all, result, err := d.causes(r.Context())
	if err != nil {
		return v, err
	}
	decided, err := d.made()
	if err != nil {
		return v, err
	}
	errors, warnings := result.doubtsLeft(all)
	list := doubtsView{Errors: errors, Warnings: warnings, Causes: all[:min(len(all), maxDoubts)],
		Hidden: max(0, len(all)-maxDoubts), Decided: len(decided), Last: d.lastDecided()}
	v.Data = list
	return v, nil
}

// Where is the place of the leading finding of a cause, for people.
func (c *cause) Where() string { return c.lead().At.String() }

// Lead is the finding that speaks for the cause.
func (c *cause) Lead() record.Finding { return *c.lead() }

// doubtByNumber leads from a mark of a picture to its doubt.
func (d *Desk) doubtByNumber(w http.ResponseWriter, r *http.Request) {
	all, _, err := d.causes(r.Context())
	no, _ := strconv.Atoi(r.PathValue("no"))
	to := "/doubts"
	if i := slices.IndexFunc(all, func(c *cause) bool { return c.No == no }); err == nil && i >= 0 {
		to += "/" + all[i].ID
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

// doubtView is one doubt with what may be done about it.
type doubtView struct {
	ID, Mark       string // the mark is that of what is shown
	Level          string
	Place, Of      int
	Next, Previous string
	Said           report.ReasonParts
	Where, Capture string
	Others         []record.Finding
	Written        string
	Cells          int
	Corrected      []correctedCell
	MoreCorrected  int
	Rows           []rowView
	Before         []string
	Pictures       []report.Picture
	Scan           *scanView
	Take           string // what the suggestion is called; "" for none
	Write          bool
	Clear          bool
	Confirm        bool
	Drops          []dropView
	Who            string
	Whys           []string
	Last           string
	Rule           string
}

// correctedCell is what a suggestion makes of a cell.
type correctedCell struct{ Cell, Was, Now string }

// rowView is a row of a sheet as it was written.
type rowView struct {
	Where string
	Cells []remedy.Beside
}

// dropView is a capture that may be left out.
type dropView struct {
	Value, Name string
	at          record.Address
}

// find returns the cause of an address, and its place among all.
func (d *Desk) find(r *http.Request) (int, []*cause, *walk, error) {
	all, result, err := d.causes(r.Context())
	if err != nil {
		return 0, nil, nil, err
	}
	i := slices.IndexFunc(all, func(c *cause) bool { return c.ID == r.PathValue("id") })
	if i < 0 {
		return 0, nil, nil, refuse(http.StatusNotFound, "This doubt no longer exists: it was decided, or a sheet was changed. The list shows the remaining doubts.")
	}
	return i, all, result, nil
}

// maxRows is how many rows and cells of a doubt are shown.
const maxRows, maxCorrected = 4, 12

func (d *Desk) doubt(r *http.Request) (View, error) {
	i, all, result, err := d.find(r)
	if err != nil {
		return View{}, err
	}
	c := all[i]
	f := c.lead()
	decided, err := d.made()
	if err != nil {
		return View{}, err
	}
	v := &doubtView{ID: c.ID, Mark: c.mark(), Level: f.Level.String(), Place: c.No, Of: result.of(), Said: report.SplitReason(*f), Where: f.At.String(), Capture: f.Capture,
		Written: f.Value, Pictures: result.picturesOf(c), Who: decider(r), Whys: whysOf(decided), Last: d.lastDecided(), Rule: f.Rule}
	if i+1 < len(all) {
		v.Next = all[i+1].ID
	}
	if i > 0 {
		v.Previous = all[i-1].ID
	}
	for _, o := range c.Findings[1:] {
		v.Others = append(v.Others, *o)
	}
	v.Others = v.Others[:min(len(v.Others), maxListed)]
	v.offer(c, result.Snapshot)
	v.Rows = rowsOf(c, result.Snapshot)
	if len(c.proposals) > 0 {
		if v.Before, err = result.Before(c.proposals[0].At); err != nil {
			return View{}, err
		}
	}
	v.Scan, err = d.scanOf(r, f.At, result.Snapshot)
	return View{Title: "Doubts", Template: "doubt.html", Data: v}, err
}

// offer says what may be done about a cause.
func (v *doubtView) offer(c *cause, result *pipeline.Snapshot) {
	v.Confirm = len(c.proposals) > 0
	v.Drops = dropsOf(c, result)
	for _, p := range c.proposals {
		cells := p.Cells()
		if p.At.Column == 0 || p.Rule != c.lead().Rule {
			continue
		}
		v.Cells += len(cells)
		found, ok := remedy.Listed(p.Found, len(cells))
		now, also := remedy.Listed(p.Replacement, len(cells))
		if !ok || !also {
			continue
		}
		v.Clear = v.Clear || p.Found != ""
		v.Write = v.Write || !slices.ContainsFunc(found, func(t string) bool { return t != found[0] })
		if p.Replacement == "" {
			continue
		}
		v.Take = now[0]
		for k, at := range cells {
			if found[k] != now[k] {
				v.Corrected = append(v.Corrected, correctedCell{record.ColumnLetters(at.Column) + strconv.Itoa(at.Row), found[k], now[k]})
			}
		}
	}
	if n := len(v.Corrected) - maxCorrected; n > 0 {
		v.Corrected, v.MoreCorrected = v.Corrected[:maxCorrected], n
	}
}

// Several reports whether a suggestion changes more than one cell.
func (v *doubtView) Several() bool { return len(v.Corrected) > 1 }

// Decidable reports whether anything can be decided about the doubt here.
func (v *doubtView) Decidable() bool { return v.Confirm || len(v.Drops) > 0 }

// rowsOf shows the rows that a cause is about, as they were written.
func rowsOf(c *cause, r *pipeline.Snapshot) (out []rowView) {
	seen := map[record.Address]bool{}
	doubtful := map[record.Address]bool{}
	var cells []record.Address
	for _, f := range c.Findings {
		cells = append(append(cells, f.At), f.Also...)
		for _, at := range f.Cells() {
			doubtful[at] = true
		}
	}
	for _, at := range cells {
		row := record.Address{File: at.File, Sheet: at.Sheet, Row: at.Row}
		if at.Row == 0 || seen[row] || len(out) == maxRows {
			continue
		}
		seen[row] = true
		if v := (rowView{row.String(), r.Row(row)}); len(v.Cells) > 0 {
			for k := range v.Cells {
				v.Cells[k].Doubtful = doubtful[v.Cells[k].At]
			}
			out = append(out, v)
		}
	}
	return out
}

// transposed reports whether animals stand as columns in the sheet of a row.
func transposed(r *pipeline.Snapshot, at record.Address) bool {
	return slices.ContainsFunc(r.Tables, func(t record.Table) bool { return t.Transposed && t.File == at.File && t.Sheet == at.Sheet })
}

// dropsOf are the captures that may have been entered twice.
func dropsOf(c *cause, r *pipeline.Snapshot) (out []dropView) {
	f := c.lead()
	cells := f.Places()
	if f.Spread == record.Each {
		cells = cells[:1] // the others have their own fault
	}
	for _, at := range cells {
		row := record.Address{File: at.File, Sheet: at.Sheet, Row: at.Row}
		if at.Row == 0 || slices.ContainsFunc(out, func(d dropView) bool { return d.at == row }) || len(out) == maxRows {
			continue
		}
		if !transposed(r, row) && r.Row(row) != nil {
			out = append(out, dropView{Value: strconv.Itoa(len(out)), Name: row.String(), at: row})
		}
	}
	return out
}

// whysOf are reasons that were given before, the latest first.
func whysOf(decided []remedy.Remedy) (out []string) {
	for _, p := range slices.Backward(decided) {
		if !slices.Contains(out, p.Why) && len(out) < maxListed {
			out = append(out, strings.TrimSpace(p.Why))
		}
	}
	return out
}
