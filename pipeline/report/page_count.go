package report

import (
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/findings"
	"spadefoot/schemas"
)

// RuleNote is one rule with the findings of it.
type RuleNote struct {
	Rule, Summary, Help string
	Level               record.Level
	N                   int
	Cells               []string // the first few
	More                bool     // there are others
}

const maxNoteCells = 3

// Tally counts findings.
type Tally struct {
	counts findings.Counts
	sheets map[sheetName]*findings.Counts
	rules  map[ruled]*ruleTally
}

// ruled is a rule, for its notes or for its doubts.
type ruled struct {
	rule string
	note bool
}

// ruleTally counts the findings of a rule and knows where the first few are.
type ruleTally struct {
	level record.Level
	n     int
	first []record.Address
	more  bool
}

// Add counts a finding.
func (t *Tally) Add(f *record.Finding) {
	if t.sheets == nil {
		t.sheets, t.rules = map[sheetName]*findings.Counts{}, map[ruled]*ruleTally{}
	}
	t.counts.Add(f.Level)
	at := sheetName{f.At.File, f.At.Sheet}
	n := t.sheets[at]
	if n == nil {
		n = &findings.Counts{}
		t.sheets[sheetName{strings.Clone(at.file), strings.Clone(at.name)}] = n
	}
	n.Add(f.Level)
	key := ruled{f.Rule, f.Level == record.Note}
	of := t.rules[key]
	if of == nil {
		key.rule, of = strings.Clone(key.rule), &ruleTally{}
		t.rules[key] = of
	}
	of.n++
	of.level = max(of.level, f.Level)
	of.note(f.At)
}

// note keeps an address if it is one of the first.
func (t *ruleTally) note(a record.Address) {
	i, there := slices.BinarySearchFunc(t.first, a, record.Address.Compare)
	switch {
	case there:
		return
	case i == maxNoteCells:
		t.more = true
		return
	case len(t.first) == maxNoteCells:
		t.more = true
		t.first = t.first[:maxNoteCells-1]
	}
	t.first = slices.Insert(t.first, i, clonedAddresses([]record.Address{a}, record.Address{})...)
}

// OfMethod reports whether a rule says once for the survey what could not be computed or
// compared: the page tells it where it says how it was made, and not among the notes.
func OfMethod(rule string) bool {
	return rule == "condition-declined" || rule == "group-too-small" || rule == "too-little-training"
}

// RuleNotes tells of the rules: of their notes, or of their doubts. Most
// findings first.
func (t *Tally) RuleNotes(notes bool) []RuleNote {
	var out []RuleNote
	for key, of := range t.rules {
		if key.note != notes || notes && OfMethod(key.rule) {
			continue
		}
		r := schemas.RuleOf()[key.rule]
		n := RuleNote{Rule: key.rule, Summary: record.Capital(r.Summary), Help: r.Help, Level: of.level, N: of.n, More: of.more}
		for _, a := range of.first {
			n.Cells = append(n.Cells, a.String())
		}
		out = append(out, n)
	}
	sorting.Func(out, func(a, b RuleNote) int {
		return cmp.Or(int(b.Level)-int(a.Level), b.N-a.N, cmp.Compare(a.Rule, b.Rule))
	})
	return out
}

// sheetRow is one line of the count by sheet.
type sheetRow struct {
	Where          string
	Rows, Captures int
	Counts         findings.Counts
	Total          bool
}

// sheetRows counts findings by the sheet they are in. What is in none of
// the sheets, such as the tables beside them, has its own line, and the
// last line adds up to the findings.
func sheetRows(sheets []SheetNote, t *Tally) []sheetRow {
	var out []sheetRow
	listed := map[sheetName]bool{}
	total := sheetRow{Where: "together", Total: true}
	for _, s := range sheets {
		at := sheetName{s.File, s.Sheet}
		var n findings.Counts
		if found := t.sheets[at]; found != nil && !listed[at] {
			n = *found
		}
		listed[at] = true
		out = append(out, sheetRow{Where: record.Address{File: s.File, Sheet: s.Sheet}.String(), Rows: s.Rows, Captures: s.Captures, Counts: n})
	}
	beside := sheetRow{Where: "elsewhere: a whole file, a table beside the sheets, the description"}
	for at, n := range t.sheets {
		total.Counts = total.Counts.Plus(*n)
		if !listed[at] {
			beside.Counts = beside.Counts.Plus(*n)
		}
	}
	for _, r := range out {
		total.Rows, total.Captures = total.Rows+r.Rows, total.Captures+r.Captures
	}
	if beside.Counts != (findings.Counts{}) {
		out = append(out, beside)
	}
	return append(out, total)
}
