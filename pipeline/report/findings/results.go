package findings

import (
	"fmt"
	"net/url"
	"path"
	"path/filepath"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// Results is what the files for continuous integration are made from. All of
// them hold the same findings.
type Results struct {
	Title    string // of the data set
	Version  string // of the program
	Folder   string // the survey folder as it was called
	Day      string // of publication, YYYY-MM-DD, or empty
	Sheets   []record.Address
	Captures int
	Findings Findings
	Standing *Standing    // nil where no findings are known
	Failing  record.Level // findings from this level on fail; 0 for none

	// Spans says where cells are in their files, in lines and characters, and
	// false where that is not known; nil where it is known of none.
	Spans func([]record.Address) func(record.Address) (Span, bool)
}

// Span is a piece of a text file: lines and columns from 1, columns in
// characters. A Column of 0 means the whole line; EndColumn is the one behind
// the last character.
type Span struct{ Line, Column, EndLine, EndColumn int }

// fails reports whether a finding makes the check fail.
func (r *Results) fails(t *Identified) bool {
	return r.Failing > 0 && t.Level >= r.Failing && !t.Known
}

// uri is the address of a file as a reference relative to the folder that the
// program was called in, or to the survey folder where that was called by an
// absolute path or lies outside.
func (r *Results) uri(file string) string {
	folder := filepath.ToSlash(filepath.Clean(r.Folder))
	if r.Folder == "" || filepath.IsAbs(r.Folder) || !filepath.IsLocal(filepath.Clean(r.Folder)) {
		folder = ""
	}
	return (&url.URL{Path: path.Join(folder, file)}).String()
}

// findingText is reason and suggestion in one line.
func findingText(f *record.Finding) string {
	text := strings.TrimRight(f.Reason, " ")
	if f.Suggestion != "" {
		text = fmt.Sprintf("%s. Perhaps %s was meant.", strings.TrimSuffix(text, "."), f.Suggestion)
	}
	return text
}

// cellName is the name of the place within its sheet: D12, row 7, column D, or
// nothing for the whole sheet.
func cellName(a record.Address) string {
	return strings.TrimPrefix(record.Address{Row: a.Row, Column: a.Column}.String(), ", ")
}

// sheetOf is the address of the whole sheet.
func sheetOf(a record.Address) record.Address { return record.Address{File: a.File, Sheet: a.Sheet} }

// Help says what a person can do about the findings of a rule.
func Help(rule string) string { return schemas.RuleOf()[rule].Help }
