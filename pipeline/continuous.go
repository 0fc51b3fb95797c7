package pipeline

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/sheet"
)

// LoadKnown reads a file of known findings. That it is not there or not as it
// should be is a mistake in the call.
func LoadKnown(path string) (report.KnownFindings, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, config.Mistakes{{File: path, Problem: "is not there; write it first with --write-known"}}
		}
		return nil, config.Mistakes{{File: path, Problem: err.Error()}}
	}
	return report.ReadKnown(path, text)
}

// KeptKnown is what stands in a file of known findings that is to be written
// anew, so that what people said there stays. A file that is there and is
// something else is refused.
func KeptKnown(path string) (report.KnownFindings, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	known, err := LoadKnown(path)
	if err != nil {
		return nil, errors.Join(config.Mistakes{{File: path, Problem: "is there, is no file of known findings and was left alone; take it away or give another name"}}, err)
	}
	return known, nil
}

// Results gathers what the files for continuous integration are made from.
// folder is the survey folder as it was called.
func (r *Result) Results(folder, version string) report.Results {
	out := report.Results{Title: r.Survey.Dataset.Title, Version: version, Folder: folder, Captures: len(r.Captures),
		Findings: r.Findings, IDs: report.Identify(r.Findings, r.Captures), Span: r.spans(folder)}
	for i := range r.Tables {
		at := record.Address{File: r.Tables[i].File, Sheet: r.Tables[i].Sheet}
		if !slices.Contains(out.Sheets, at) {
			out.Sheets = append(out.Sheets, at)
		}
	}
	return out
}

// spans looks up the cells of the findings in their text files, once for each
// file and only when first asked. A file that has changed or gone since has no
// spans.
func (r *Result) spans(folder string) func(record.Address) (report.Span, bool) {
	files := map[string]map[record.Address]sheet.Span{}
	return func(a record.Address) (report.Span, bool) {
		cells, read := files[a.File]
		if !read {
			cells = r.spansIn(folder, a.File)
			files[a.File] = cells
		}
		s, ok := cells[a]
		return report.Span(s), ok
	}
}

func (r *Result) spansIn(folder, file string) map[record.Address]sheet.Span {
	var want []record.Address
	for i := range r.Findings {
		for _, a := range append([]record.Address{r.Findings[i].At}, r.Findings[i].Also...) {
			if a.File == file && a.Column > 0 {
				want = append(want, a)
			}
		}
	}
	for _, ref := range r.Survey.Sheets {
		if ref.File == file && len(ref.Tabs) == 0 {
			cells, err := sheet.Spans(file, filepath.Join(folder, filepath.FromSlash(file)),
				sheetOptions(ref), want)
			if err == nil {
				return cells
			}
		}
	}
	return nil
}
