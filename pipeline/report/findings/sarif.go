package findings

import (
	"bufio"
	"errors"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// SARIF writes the findings as a log of SARIF 2.1.0 (OASIS Standard, errata
// 01). Section numbers below are of that document.
//
//   - A cell of a text file has a region: the line, and columns in characters
//     where the cell was found again in its line. A cell of a workbook has no
//     region, since a workbook has no lines. Both have a logical location, with
//     the letter of the column: D12.
//   - The other cells of a finding are related locations, up to 100 of them; the
//     property cells says how many there are where it is more.
//   - The fingerprint of a result (3.27.17) holds no row and no column.
//   - Where known findings were given, each result says whether it is new or
//     unchanged (3.27.24), and a known one is suppressed outside the sheet
//     (3.27.23). Known findings that are gone are not results.
//   - There is no time and no machine in it: the same findings give the same
//     bytes.
func SARIF(w io.Writer, r Results) error {
	rules, place, err := r.sarifRules()
	if err != nil {
		return err
	}
	run := sarifRun{
		Tool: sarifTool{Driver: sarifDriver{Name: "Spadefoot", Version: r.Version, Language: "en-GB", Rules: rules}},
		// The columns of regions are code points (3.14.17).
		ColumnKind: "unicodeCodePoints", Language: "en-GB", Results: []sarifResult{},
	}
	frame, err := jsonOf(sarifLog{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0", Runs: []sarifRun{run},
	}, "", " ")
	if err != nil {
		return err
	}
	before, after, _ := strings.Cut(frame, `"results": []`)
	lines := bufio.NewWriter(w)
	lines.WriteString(before + `"results": [`)
	separator, end := "", ""
	err = r.inBatches(func(batch []*Identified, span spanOf) error {
		for _, t := range batch {
			text, err := jsonOf(r.sarifResult(t, place, span), "    ", " ")
			if err != nil {
				return err
			}
			lines.WriteString(separator + "\n    " + text)
			separator, end = ",", "\n   "
		}
		return lines.Flush()
	})
	lines.WriteString(end + "]" + after + "\n")
	return errors.Join(err, lines.Flush())
}

// spanOf says where a cell is in its file, and false where that is not
// known.
type spanOf func(record.Address) (Span, bool)

// maxInBatch is the number of findings whose cells are looked for at once.
const maxInBatch = 20_000

// inBatches hands findings on with the places of their cells.
func (r *Results) inBatches(do func(batch []*Identified, span spanOf) error) error {
	var batch []*Identified
	flush := func() error {
		var span spanOf
		if r.Spans != nil {
			var cells []record.Address
			for _, t := range batch {
				cells = append(append(cells, t.At), t.Also[:min(len(t.Also), 2*maxRelated)]...)
			}
			span = r.Spans(cells)
		}
		err := do(batch, span)
		batch = batch[:0]
		return err
	}
	for t, err := range r.Findings {
		if err != nil {
			return err
		}
		if batch = append(batch, t); len(batch) == maxInBatch {
			if err := flush(); err != nil {
				return err
			}
		}
	}
	return flush()
}

// maxRelated is how many related locations a result has at most: readers of
// SARIF show a few, and a shifted column may have thousands.
const maxRelated = 100

// sarifRules describes the rules that have findings, sorted by code, and returns
// their places.
func (r *Results) sarifRules() ([]sarifRule, map[string]int, error) {
	place := map[string]int{}
	for t, err := range r.Findings {
		if err != nil {
			return nil, nil, err
		}
		place[t.Rule] = 0
	}
	out := []sarifRule{}
	for i, code := range slices.Sorted(maps.Keys(place)) {
		place[code] = i
		rule := schemas.RuleOf()[code]
		d := sarifRule{ID: code}
		if rule.Summary != "" {
			d.Short = &sarifText{Text: stopped(rule.Summary)}
			d.Full = &sarifText{Text: stopped(rule.Summary)}
			d.Help = &sarifText{Text: stopped(rule.Help)}
			d.Default = &sarifConfiguration{Level: rule.Level}
			d.Properties = &sarifBag{Tags: strings.Split(rule.Stage, ", ")}
		}
		out = append(out, d)
	}
	return out, place, nil
}

func (r *Results) sarifResult(t *Identified, place map[string]int, span spanOf) sarifResult {
	f := &t.Finding
	out := sarifResult{
		RuleID: f.Rule, RuleIndex: place[f.Rule], Level: f.Level.String(),
		Message:      sarifMessage{Text: sarifEscape(stopped(findingText(f)))},
		Locations:    []sarifLocation{r.sarifLocation(f.At, f.Field, 0, span)},
		Fingerprints: map[string]string{"spadefootFinding/v1": t.ID.Fingerprint()},
		Properties: &sarifBag{Capture: f.Capture, Field: f.Field, Value: f.Value, Suggestion: f.Suggestion,
			Group: f.Group, Reference: f.Reference},
	}
	if len(f.Figures) > 0 {
		out.Properties.Figures = f.Figures
	}
	seen := map[record.Address]bool{f.At: true}
	for _, a := range f.Also {
		if len(out.Related) == maxRelated {
			out.Properties.Cells = 1 + len(f.Also)
			break
		}
		if !seen[a] { // related locations are a set
			seen[a] = true
			out.Related = append(out.Related, r.sarifLocation(a, "", len(out.Related)+1, span))
		}
	}
	if r.Standing != nil {
		out.BaselineState, out.Suppressions = "new", &[]sarifSuppression{}
		if t.Known {
			out.BaselineState = "unchanged"
			*out.Suppressions = append(*out.Suppressions, sarifSuppression{Kind: "external", Justification: "is in the file of known findings"})
		}
	}
	return out
}

// sarifLocation is a cell, a row or a sheet. id is 0 for the main location.
func (r *Results) sarifLocation(a record.Address, field string, id int, span spanOf) sarifLocation {
	at := sarifLocation{ID: id}
	if a.File != "" {
		at.Physical = &sarifPhysical{Artifact: sarifArtifact{URI: r.uri(a.File)}, Region: r.sarifRegion(a, span)}
	}
	name := cellName(a)
	if name == "" && a.Sheet == "" {
		return at
	}
	l := sarifLogical{Name: name, Kind: "cell", Full: a.String()}
	switch {
	case name == "":
		l.Name, l.Kind = a.Sheet, "sheet"
	case a.Column == 0:
		l.Kind = "row"
	case a.Row == 0:
		l.Kind = "column"
	}
	at.Logical = []sarifLogical{l}
	if id > 0 {
		at.Message = &sarifMessage{Text: sarifEscape("also " + a.String() + ".")}
	} else if field != "" {
		at.Message = &sarifMessage{Text: sarifEscape(field + ".")}
	}
	return at
}

func (r *Results) sarifRegion(a record.Address, span spanOf) *sarifRegion {
	if a.Sheet != "" || a.Row == 0 {
		return nil
	}
	if span != nil {
		if s, ok := span(a); ok {
			return &sarifRegion{s.Line, s.Column, s.EndLine, s.EndColumn}
		}
		if r.inWorkbook(a.File) {
			return nil
		}
	}
	return &sarifRegion{StartLine: a.Row}
}

// inWorkbook reports whether a file is known to have tabs.
func (r *Results) inWorkbook(file string) bool {
	return slices.ContainsFunc(r.Sheets, func(a record.Address) bool { return a.File == file && a.Sheet != "" })
}

var likeLink = regexp.MustCompile(`\[([^\[\]]*)\]\(`)

// sarifEscape keeps braces from being read as placeholders (3.11.5), and
// brackets before a parenthesis as an embedded link (3.11.6).
func sarifEscape(s string) string {
	s = strings.NewReplacer("{", "{{", "}", "}}").Replace(validText(s))
	return likeLink.ReplaceAllString(s, `\[$1\](`)
}

// stopped ends a message with a full stop (3.11.1).
func stopped(s string) string {
	s = strings.TrimRight(s, " \n")
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") || strings.HasSuffix(s, "…") {
		return s
	}
	return s + "."
}
