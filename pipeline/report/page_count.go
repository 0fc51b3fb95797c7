package report

import (
	"cmp"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// ruleNote is one rule with the findings of it.
type ruleNote struct {
	Rule, Summary, Help string
	Level               record.Level
	N                   int
	Cells               []string // the first few
	More                int
}

const mostNoteCells = 3

// ruleNotes counts findings by rule: those of level Note alone, or those above
// it. Most findings first.
func ruleNotes(fs []record.Finding, level record.Level) []ruleNote {
	known := knownRules()
	at := map[string]int{}
	var out []ruleNote
	for _, f := range fs {
		if (f.Level == record.Note) != (level == record.Note) {
			continue
		}
		i, there := at[f.Rule]
		if !there {
			r := known[f.Rule]
			i = len(out)
			at[f.Rule] = i
			out = append(out, ruleNote{Rule: f.Rule, Summary: capital(r.Summary), Help: r.Help})
		}
		n := &out[i]
		n.N++
		n.Level = max(n.Level, f.Level)
		if where := f.At.String(); len(n.Cells) < mostNoteCells && !slices.Contains(n.Cells, where) {
			n.Cells = append(n.Cells, where)
		} else if !slices.Contains(n.Cells, where) {
			n.More++
		}
	}
	slices.SortStableFunc(out, func(a, b ruleNote) int {
		return cmp.Or(int(b.Level)-int(a.Level), b.N-a.N, cmp.Compare(a.Rule, b.Rule))
	})
	return out
}

// knownRules are the rules by code.
var knownRules = sync.OnceValue(func() map[string]schemas.Rule {
	out := map[string]schemas.Rule{}
	rules, err := schemas.Rules()
	if err != nil {
		return out // embedded; a test reads them whole
	}
	for _, r := range rules {
		out[r.Code] = r
	}
	return out
})

// help says what a person can do about a rule.
func help(rule string) string { return knownRules()[rule].Help }

// sheetRow is one line of the count by sheet.
type sheetRow struct {
	Where          string
	Rows, Captures int
	Counts         Counts
	Total          bool
}

// sheetRows counts findings by the sheet they stand in. What stands in none of
// the sheets, such as the tables beside them, has a line of its own, and the
// last line adds up to the findings.
func sheetRows(p *Page) []sheetRow {
	var out []sheetRow
	at := map[record.Address]int{}
	for _, s := range p.Sheets {
		key := record.Address{File: s.File, Sheet: s.Sheet}
		at[key] = len(out)
		out = append(out, sheetRow{Where: key.String(), Rows: s.Rows, Captures: s.Captures})
	}
	beside := sheetRow{Where: "elsewhere: a whole file, a table beside the sheets, the description"}
	total := sheetRow{Where: "together", Total: true}
	for _, f := range p.Findings {
		one := Count([]record.Finding{f})
		total.Counts = add(total.Counts, one)
		if i, there := at[record.Address{File: f.At.File, Sheet: f.At.Sheet}]; there {
			out[i].Counts = add(out[i].Counts, one)
		} else {
			beside.Counts = add(beside.Counts, one)
		}
	}
	for _, r := range out {
		total.Rows, total.Captures = total.Rows+r.Rows, total.Captures+r.Captures
	}
	if beside.Counts != (Counts{}) {
		out = append(out, beside)
	}
	return append(out, total)
}
