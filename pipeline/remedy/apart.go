//go:build !onemachine

package remedy

import (
	"bytes"
	"cmp"
	"encoding/gob"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// Where several machines read a survey, its sheets are searched one by one (Join),
// and every machine knows the outcome (GobEncode). What came of the remedies in a
// sheet (Did), and which confirmations a part needed (Used), goes back.

// Asks reports whether a remedy may mean a cell of a file.
func (s *Search) Asks(file string) bool {
	return slices.ContainsFunc(s.remedies, func(r Remedy) bool { return r.At.File == file || r.At.File == "" && r.Capture != "" })
}

// Join takes in what another search for the same remedies found, in rows behind its
// own.
func (s *Search) Join(o *Search) {
	for at, from := range o.cells {
		s.want(at)
		if to := s.cells[at]; from.there && to.there {
			to.rows = append(to.rows, from.rows...)
		} else if from.there {
			s.cells[at] = from
		}
	}
	for i := range o.found {
		to, from := &s.found[i], &o.found[i]
		to.rows = to.rows || from.rows
		for _, at := range from.at {
			if !slices.Contains(to.at, at) {
				to.at = append(to.at, at)
			}
		}
	}
}

type sentOutcome struct {
	Applied  []*Applied
	Findings []record.Finding
	Gone     map[record.Address]bool
	Confirms map[Answer]sentConfirmation
}

type sentConfirmation struct {
	Remedy  Remedy
	ByValue bool
}

// GobEncode writes down what becomes of the remedies.
func (o *Outcome) GobEncode() ([]byte, error) {
	out := sentOutcome{o.applied, o.Findings, o.gone, map[Answer]sentConfirmation{}}
	for a, c := range o.confirms {
		out.Confirms[a] = sentConfirmation{*c.r, c.byValue}
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(&out)
	return b.Bytes(), err
}

// GobDecode reads what GobEncode wrote.
func (o *Outcome) GobDecode(block []byte) error {
	var in sentOutcome
	if err := gob.NewDecoder(bytes.NewReader(block)).Decode(&in); err != nil {
		return err
	}
	o.Findings, o.gone, o.confirms = in.Findings, in.Gone, map[Answer]*confirmation{}
	for a, c := range in.Confirms {
		o.confirms[a] = &confirmation{r: &c.Remedy, byValue: c.ByValue}
	}
	o.take(in.Applied)
	return nil
}

// take takes what is carried out.
func (o *Outcome) take(applied []*Applied) {
	o.applied, o.jobs, o.dropped = applied, map[record.Address]*Applied{}, map[RowRef]*drop{}
	for _, a := range applied {
		switch {
		case a.changes():
			o.jobs[a.At] = a
		case a.Action == Drop:
			o.dropped[a.Rows[0]] = &drop{a: a}
		}
	}
}

// Apart returns its own outcome for a piece of work: what is done by it, and
// used of it, is not seen in others.
func (o *Outcome) Apart() *Outcome {
	if o == nil {
		return nil
	}
	own := &Outcome{Findings: slices.Clip(o.Findings), gone: o.gone, confirms: map[Answer]*confirmation{}}
	for a, c := range o.confirms {
		own.confirms[a] = &confirmation{r: c.r, byValue: c.byValue}
	}
	applied := make([]*Applied, len(o.applied))
	for i, a := range o.applied {
		one := *a
		one.Rows, one.Also = slices.Clip(one.Rows), slices.Clip(one.Also)
		applied[i] = &one
	}
	own.take(applied)
	for row, d := range o.dropped {
		own.dropped[row].done = d.done
	}
	return own
}

// Effects is what came of remedies in a sheet: by their places in the table, the rows
// that were changed and the cells that took their text from a changed one, and the
// rows that were left out.
type Effects struct {
	Rows    map[int][]RowRef
	Also    map[int][]record.Address
	Dropped []RowRef
}

// Effects returns what came of the remedies, where none had come to anything before.
func (o *Outcome) Effects() (d Effects) {
	if o == nil {
		return d
	}
	d.Rows, d.Also = map[int][]RowRef{}, map[int][]record.Address{}
	for i, a := range o.applied {
		if a.changes() && len(a.Rows) > 0 {
			d.Rows[i], d.Also[i] = a.Rows, a.Also
		}
	}
	for row, dropped := range o.dropped {
		if dropped.done {
			d.Dropped = append(d.Dropped, row)
		}
	}
	return d
}

// Learn takes in what came of the remedies in a sheet.
func (o *Outcome) Learn(d Effects) {
	for i, rows := range d.Rows {
		o.applied[i].Rows, o.applied[i].Also = append(o.applied[i].Rows, rows...), append(o.applied[i].Also, d.Also[i]...)
	}
	for _, row := range d.Dropped {
		o.dropped[row].done = true
	}
}

// Used returns the confirmations that answered a finding.
func (o *Outcome) Used() (used []Answer) {
	if o == nil {
		return nil
	}
	for a, c := range o.confirms {
		if c.used {
			used = append(used, a)
		}
	}
	sorting.Func(used, func(a, b Answer) int { return cmp.Or(strings.Compare(a.Rule, b.Rule), a.At.Compare(b.At)) })
	return used
}

// Use notes that confirmations answered a finding elsewhere.
func (o *Outcome) Use(used []Answer) {
	for _, a := range used {
		o.confirms[a].used = true
	}
}
