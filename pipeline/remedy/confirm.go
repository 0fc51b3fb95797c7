package remedy

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/record/sorting"
)

// Answer is what a confirmation holds for: a rule at a place.
type Answer struct {
	Rule string
	At   record.Address
}

// confirmation is a remedy that says that a value is right.
type confirmation struct {
	r       *Remedy
	byValue bool // of no cell: the value of the finding is compared instead
	used    bool
}

// takeConfirmations keeps those whose cell holds what was confirmed.
func (o *Outcome) takeConfirmations() {
	for i := range o.search.remedies {
		r := &o.search.remedies[i]
		if r.Action != Confirm {
			continue
		}
		found, why := o.search.find(i)
		switch {
		case why != "" && r.Capture != "":
			o.Findings = append(o.Findings, r.unmatched(why))
		case why != "":
			o.confirms[Answer{r.Rule, r.At}] = &confirmation{r: r, byValue: true}
		case r.At.Column == 0 && r.Field == "" && r.Found == "":
			for _, at := range found {
				o.confirms[Answer{r.Rule, at}] = &confirmation{r: r, byValue: true}
			}
		default:
			o.confirmCell(r, found)
		}
	}
}

// changed is what a cell holds once the remedies are carried out.
func (o *Outcome) changed(at record.Address) string {
	c := o.search.cell(at)
	a := o.jobs[at]
	if a == nil && c.carried {
		a = o.jobs[c.origin]
	}
	switch {
	case a == nil || !same(c.text, a.Found):
		return c.text
	case a.Action == Clear:
		return ""
	}
	return strings.TrimSpace(lines.OneBreak(a.Replacement))
}

func (o *Outcome) confirmCell(r *Remedy, found []record.Address) {
	held := slices.DeleteFunc(slices.Clone(found), func(a record.Address) bool { return !same(o.changed(a), r.Found) })
	switch len(held) {
	case 0:
		o.lapse(r, found[0])
		return
	case 1:
	default:
		o.Findings = append(o.Findings, r.unmatched(fmt.Sprintf("%d cells hold this text in the field %s (%s); give file, row and column", len(held), r.Field, list(held))))
		return
	}
	at := held[0]
	o.confirms[Answer{r.Rule, at}] = &confirmation{r: r}
	c := o.search.cell(at)
	o.applied = append(o.applied, &Applied{Remedy: *r, At: at, Before: c.before, Field: c.field, Rows: c.rows})
}

func (o *Outcome) lapse(r *Remedy, at record.Address) {
	o.Findings = append(o.Findings, record.Finding{Rule: "confirmation-lapsed", Level: record.Note,
		At: r.place(), Also: []record.Address{at}, Capture: r.Capture, Field: r.Field,
		Reason: fmt.Sprintf("%s no longer holds what was confirmed; the confirmation of %s is not used", at, r.Rule)})
}

// Silence drops the findings that were confirmed, and those on captures that are
// left out. Of a finding on several cells, only those are dropped; key
// returns the key of the capture that has a cell.
func (o *Outcome) Silence(fs []record.Finding, key func(record.Address) string) []record.Finding {
	if o == nil || len(o.confirms)+len(o.dropped) == 0 {
		return fs
	}
	kept := fs[:0:0]
	for _, f := range fs {
		if o.keeps(&f, key) {
			kept = append(kept, f)
		}
	}
	return kept
}

func (o *Outcome) keeps(f *record.Finding, key func(record.Address) string) bool {
	cells := []record.Address{f.At}
	if f.Gathered() {
		cells = f.Cells()
	}
	if c := o.confirms[Answer{f.Rule, f.At}]; c != nil && c.byValue {
		cells = cells[:1] // what is confirmed by its value is confirmed as a whole
	}
	left := slices.DeleteFunc(slices.Clone(cells), func(at record.Address) bool { return o.isDropped(at) || o.confirmed(f, at) })
	switch {
	case len(left) == len(cells):
		return true
	case len(left) == 0:
		return false
	}
	f.At, f.Also = left[0], left[1:]
	if f.Capture != "" {
		f.Capture = key(f.At)
	}
	f.Gather(len(left))
	return true
}

func (o *Outcome) confirmed(f *record.Finding, at record.Address) bool {
	c := o.confirms[Answer{f.Rule, at}]
	if c == nil {
		return false
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	if c.byValue && strings.TrimSpace(f.Value) != strings.TrimSpace(c.r.Found) {
		return false
	}
	c.used = true
	return true
}

// Confirmed reports whether a person said that a cell is right as written, against
// one rule.
func (o *Outcome) Confirmed(rule string, at record.Address) bool {
	return o != nil && o.confirms[Answer{rule, at}] != nil
}

// Idle returns a finding for each confirmation that answered nothing so far.
// Those of files that elsewhere knows, such as the archive's, are left out.
func (o *Outcome) Idle(elsewhere func(file string) bool) []record.Finding {
	if o == nil {
		return nil
	}
	used, seen := map[record.Address]bool{}, map[record.Address]*confirmation{}
	for _, c := range o.confirms {
		line := c.r.place()
		used[line] = used[line] || c.used
		seen[line] = c
	}
	var idle []record.Finding
	for _, line := range sorting.SortedFunc(maps.Keys(seen), record.Address.Compare) {
		if r := seen[line].r; !used[line] && (elsewhere == nil || !elsewhere(r.At.File)) {
			idle = append(idle, r.unmatched(fmt.Sprintf("there is no finding of the rule %s with this value; the confirmation can be removed", r.Rule)))
		}
	}
	return idle
}
