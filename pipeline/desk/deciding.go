package desk

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

// whoCookie remembers in the browser who decides.
const whoCookie = "spadefoot-desk-who"

// lastDecision is what was decided last at this desk, so that it can be taken
// back.
type lastDecision struct {
	id   string // of the cause
	rows []remedy.Remedy
	text string
}

// lastDecided says what was decided last, or "".
func (d *Desk) lastDecided() string {
	d.deciding.Lock()
	defer d.deciding.Unlock()
	return d.last.text
}

// decide writes a decision and goes on to the next doubt.
func (d *Desk) decide(w http.ResponseWriter, r *http.Request) {
	who := strings.TrimSpace(r.PostFormValue("who"))
	if who != "" {
		http.SetCookie(w, &http.Cookie{Name: whoCookie, Value: url.QueryEscape(who), Path: "/", MaxAge: 365 * 24 * 3600, HttpOnly: true, SameSite: http.SameSiteLaxMode})
	}
	d.doAtOnce(d.decideOn)(w, r)
}

// decider is who decided last in this browser, "" if nobody did.
func decider(r *http.Request) string {
	who, _ := url.QueryUnescape(cookie(r, whoCookie))
	return who
}

func (d *Desk) decideOn(r *http.Request) (to, notice string, err error) {
	d.deciding.Lock()
	defer d.deciding.Unlock()
	i, all, before, err := d.find(r)
	if err != nil {
		return "", "", err
	}
	c := all[i]
	if mark := r.PostFormValue("mark"); mark != "" && mark != c.mark() {
		return "", "", refuse(http.StatusConflict, "A file has changed meanwhile, and so has this doubt. Nothing was written. Go back, look at it again, then decide.")
	}
	rows, what, err := d.asDecided(r, c, before.Snapshot)
	if err != nil {
		return "", "", err
	}
	if err := d.rewrite(pipeline.Decide, rows); err != nil {
		return "", "", err
	}
	p, err := d.awaiting(before, c.ID, rows)
	if err != nil {
		return "", "", err
	}
	notice, err = d.answered(r.Context(), p, before)
	if err != nil {
		return "", "", err
	}
	d.last = lastDecision{c.ID, rows, fmt.Sprintf("%s: %s", c.Where(), what)}
	left, _, err := d.causes(r.Context())
	if err != nil {
		return "", "", err
	}
	return nextOf(all[i+1:], left), fmt.Sprintf("%s: %s. %s%s left.", c.Where(), what, notice, record.Plural(len(left), "cause")), nil
}

// rewrite writes decisions to the table of remedies, or takes them out.
func (d *Desk) rewrite(as func(string, []remedy.Remedy, pipeline.Options) error, rows []remedy.Remedy) error {
	d.writing.Lock()
	defer d.writing.Unlock()
	return as(d.folder, rows, d.Pipeline)
}

// answered waits until the survey was walked with what was decided, as long as
// somebody should wait, and says what is new.
func (d *Desk) answered(ctx context.Context, p *pending, before *walk) (string, error) {
	v := visitOf(ctx)
	v.patience = d.Patience * 4 / 3
	seen := waited(ctx, p.done)
	v.patience = 0
	switch {
	case !seen:
		return "", nil
	case p.err != nil:
		return "", p.err
	}
	after, err := d.survey(ctx)
	if err != nil {
		return "", err
	}
	c, err := compare(before.Snapshot, after.Snapshot)
	return c.String() + " ", err
}

// nextOf is the address of the first of some causes that is still there, or of
// the first there is.
func nextOf(after, left []*cause) string {
	for _, c := range after {
		if slices.ContainsFunc(left, func(l *cause) bool { return l.ID == c.ID }) {
			return "/doubts/" + c.ID
		}
	}
	if len(left) > 0 {
		return "/doubts/" + left[0].ID
	}
	return "/doubts"
}

// asDecided reads a decision out of a form: rows for the table of remedies, and
// what they do in words.
func (d *Desk) asDecided(r *http.Request, c *cause, result *pipeline.Snapshot) (rows []remedy.Remedy, what string, err error) {
	who, why := strings.TrimSpace(r.PostFormValue("who")), strings.Join(strings.Fields(r.PostFormValue("why")), " ")
	switch {
	case who == "":
		return nil, "", refuse(http.StatusBadRequest, "Say who decides.")
	case why == "":
		return nil, "", refuse(http.StatusBadRequest, "Give the reason for the decision in one line.")
	}
	finish := func(p remedy.Remedy, a remedy.Action) remedy.Remedy {
		p.Action, p.Who, p.When, p.Why = a, who, d.Today(), why
		if a != remedy.Replace {
			p.Replacement = ""
		}
		return p
	}
	do, choice, _ := strings.Cut(r.PostFormValue("do"), ":")
	text := strings.TrimSpace(r.PostFormValue("text"))
	if do == "drop" {
		for _, drop := range dropsOf(c, result) {
			if drop.Value == choice {
				held, err := result.RowText(drop.at)
				if err != nil {
					return nil, "", err
				}
				row := remedy.Remedy{At: drop.at, Found: held, Rule: c.lead().Rule, Doubt: c.lead().Reason}
				return []remedy.Remedy{finish(row, remedy.Drop)}, drop.Name + " is left out", nil
			}
		}
		return nil, "", refuse(http.StatusBadRequest, "Choose which capture to leave out.")
	}
	done := map[record.Address]bool{}
	for _, p := range c.proposals {
		one := p.Remedy
		changing := do != "confirm"
		if changing && (one.At.Column == 0 || one.Rule != c.lead().Rule || done[one.At]) {
			continue // the other doubts of the cell go with what is changed there
		}
		done[one.At] = true
		switch do {
		case "take":
			if one.Replacement == "" {
				continue
			}
			what = "the suggestion was taken"
			rows = append(rows, finish(one, remedy.Replace))
		case "write":
			if text == "" {
				return nil, "", refuse(http.StatusBadRequest, "Write the new text, or choose to treat it as blank.")
			}
			what, one.Replacement = text+" is there now", remedy.List([]string{text})
			if len(one.Also) == 0 {
				one.Replacement = text
			}
			rows = append(rows, finish(one, remedy.Replace))
		case "clear":
			what = "cleared"
			rows = append(rows, finish(one, remedy.Clear))
		case "confirm":
			what = "confirmed as written"
			rows = append(rows, finish(one, remedy.Confirm))
		}
	}
	if len(rows) == 0 {
		return nil, "", refuse(http.StatusBadRequest, "Choose what to do.")
	}
	return rows, what, nil
}

// decidedView is what people decided so far.
type decidedView struct {
	Rows []decidedRow
	Last string
}

type decidedRow struct {
	Key, Where, Found, Done, By string
}

func (d *Desk) decided(r *http.Request) (View, error) {
	all, err := d.made()
	if err != nil {
		return View{}, err
	}
	var v decidedView
	for i := range all {
		p := &all[i]
		where := p.At.String()
		if p.At.Row == 0 {
			where = p.Capture + ", " + p.Field
		}
		if n := len(p.Also); n > 0 {
			where += fmt.Sprintf(" and %d more", n)
		}
		v.Rows = append(v.Rows, decidedRow{Key: keyOf(p), Where: where, Found: p.Found, Done: doneAs(p), By: p.Who + ", " + p.When + ": " + p.Why})
	}
	return View{Title: "What was decided", Template: "decided.html", Data: v}, nil
}

// doneAs says what a remedy does.
func doneAs(r *remedy.Remedy) string {
	switch r.Action {
	case remedy.Replace:
		return "is " + r.Replacement
	case remedy.Confirm:
		return "confirmed"
	case remedy.Clear:
		return "cleared"
	}
	return "left out"
}

// keyOf tells a decision from others.
func keyOf(r *remedy.Remedy) string {
	return markOf(fmt.Appendf(nil, "%s\x00%s\x00%v\x00%s\x00%s\x00%s\x00%s\x00%s\x00%s", r.Rule, r.At, r.Also, r.Capture, r.Field, r.Found, r.Action, r.Replacement, r.When))
}

// takeBack takes a decision out of the table again: the one of a form, or the
// last one at this desk.
func (d *Desk) takeBack(r *http.Request) (to, notice string, err error) {
	d.deciding.Lock()
	defer d.deciding.Unlock()
	_, before, err := d.causes(r.Context())
	if err != nil {
		return "", "", err
	}
	to = "/doubts"
	rows, id := d.last.rows, d.last.id
	if key := r.PostFormValue("key"); key != "" {
		rows, id, to = nil, "", "/doubts/decided"
		all, err := d.made()
		if err != nil {
			return "", "", err
		}
		for i := range all {
			if keyOf(&all[i]) == key {
				rows = append(rows, all[i])
			}
		}
	}
	if len(rows) == 0 {
		return "", "", refuse(http.StatusConflict, "This decision no longer exists.")
	}
	if err := d.rewrite(pipeline.TakeBack, rows); err != nil {
		return "", "", err
	}
	d.last = lastDecision{}
	p, err := d.awaiting(before, id, nil)
	if err != nil {
		return "", "", err
	}
	if notice, err = d.answered(r.Context(), p, before); err != nil {
		return "", "", err
	}
	left, _, err := d.causes(r.Context())
	if err != nil {
		return "", "", err
	}
	if to == "/doubts" {
		for _, c := range left {
			if c.lead().Rule == rows[0].Rule && c.lead().At == rows[0].At {
				to = "/doubts/" + c.ID
			}
		}
	}
	return to, strings.TrimSpace("Undone. " + notice), nil
}

// decisions are those of the table of remedies, as it was read last.
type decisions struct {
	mu    sync.Mutex
	known bool
	state uint64 // of the folder
	rows  []remedy.Remedy
}

// made are the decisions that the table of remedies has now. Nobody may change
// them.
func (d *Desk) made() ([]remedy.Remedy, error) {
	m := &d.decisions
	m.mu.Lock()
	defer m.mu.Unlock()
	state, err := d.state()
	if err != nil || m.known && m.state == state {
		return m.rows, err
	}
	all, err := pipeline.Decisions(d.folder, d.Pipeline)
	if err != nil {
		return nil, err
	}
	m.rows = slices.DeleteFunc(all, func(r remedy.Remedy) bool { return r.Action == remedy.Undecided })
	m.known, m.state = true, state
	return m.rows, nil
}
