package pipeline

import (
	"iter"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/sheet"
)

// Each returns the findings in the order of the outputs. They may be gone through
// more than once; they end after an error.
func (r *Result) Each() iter.Seq2[record.Finding, error] {
	if r.walk == nil {
		return func(yield func(record.Finding, error) bool) {
			for _, f := range r.Findings {
				if !yield(f, nil) {
					return
				}
			}
		}
	}
	return r.walk.judged.All()
}

// Results gathers what the files for continuous integration are made from.
// folder is the survey folder as it was called; known are the findings that are
// known, nil where none are asked for.
func (r *Result) Results(folder, version string, known findings.KnownFindings) (findings.Results, error) {
	out := findings.Results{Title: r.Survey.Dataset.Title, Version: version, Folder: folder, Captures: r.Counts.Captures, Day: r.Survey.Dataset.Published, Spans: r.spans(folder)}
	for i := range r.Tables {
		at := record.Address{File: r.Tables[i].File, Sheet: r.Tables[i].Sheet}
		if !slices.Contains(out.Sheets, at) {
			out.Sheets = append(out.Sheets, at)
		}
	}
	if r.Counts.Withheld > 0 {
		out.Spans = onlyLines(out.Spans)
	}
	var err error
	if out.Findings, err = findings.WithIdentities(r.Each(), r.names()); err != nil || known == nil {
		return out, err
	}
	marked, standing, err := known.Mark(out.Findings)
	out.Findings, out.Standing = marked, &standing
	return out, err
}

// onlyLines leaves out the characters: where a text begins and ends tells how long
// it is, and the one before it.
func onlyLines(spans func([]record.Address) func(record.Address) (findings.Span, bool)) func([]record.Address) func(record.Address) (findings.Span, bool) {
	return func(want []record.Address) func(record.Address) (findings.Span, bool) {
		find := spans(want)
		return func(a record.Address) (findings.Span, bool) {
			s, ok := find(a)
			return findings.Span{Line: s.Line}, ok
		}
	}
}

// names finds the name of the capture that a finding belongs to.
func (r *Result) names() func(*record.Finding) (string, error) {
	if r.walk != nil {
		return (&naming{walk: r.walk, part: -1}).of
	}
	names := findings.NamesOf(r.Captures)
	return func(f *record.Finding) (string, error) { return names.Of(f), nil }
}

// naming finds names among the parts of a survey, one part after the other.
type naming struct {
	walk  *walk
	part  int // that names are of
	names findings.Names
}

func (n *naming) of(f *record.Finding) (string, error) {
	if !findings.NeedsNames(f) {
		return f.Capture, nil
	}
	i := n.walk.partOf(f.At)
	if i < 0 {
		return "", nil
	}
	if err := n.take(i); err != nil {
		return "", err
	}
	name := n.names.Of(f)
	if f.Capture != "" || i+1 == n.walk.store.Parts() || n.walk.within(i, f.At) {
		return name, nil
	}
	// A label above rows of this part may be above some of the next.
	if err := n.take(i + 1); err != nil {
		return "", err
	}
	if other, known := n.names.Cell(f.At); known && other != name {
		return "", nil
	}
	return name, nil
}

func (n *naming) take(i int) error {
	if n.part == i {
		return nil
	}
	captures, err := n.walk.store.Take(i, &n.walk.buffers[0])
	n.part, n.names = i, findings.NamesOf(captures)
	return err
}

// spans looks up cells in their text files, once for each file. A file that has
// changed or gone since has no spans.
func (r *Result) spans(folder string) func([]record.Address) func(record.Address) (findings.Span, bool) {
	return func(want []record.Address) func(record.Address) (findings.Span, bool) {
		cells := map[string][]record.Address{}
		for _, a := range want {
			if a.Column > 0 {
				cells[a.File] = append(cells[a.File], a)
			}
		}
		found := map[string]map[record.Address]sheet.Span{}
		for file := range cells {
			found[file] = r.spansIn(folder, file, cells[file])
		}
		return func(a record.Address) (findings.Span, bool) {
			s, ok := found[a.File][a]
			return findings.Span(s), ok
		}
	}
}

func (r *Result) spansIn(folder, file string, want []record.Address) map[record.Address]sheet.Span {
	for _, ref := range r.Survey.Sheets {
		if ref.File == file && len(ref.Tabs) == 0 {
			cells, err := sheet.Spans(file, filepath.Join(folder, filepath.FromSlash(file)), sheetOptions(r.Survey, ref), want)
			if err == nil {
				return cells
			}
		}
	}
	return nil
}

// result is what came of the walk, for the caller.
func (w *walk) result(o Options) (*Result, error) {
	r := &Result{Survey: w.survey, Captures: w.captures, Findings: w.findings, Counts: w.counts, Tally: w.tally, Ready: w.readiness(&w.tally), Written: w.written}
	if hiding := w.sensitive.result; hiding != nil {
		r.guard = hiding.Guard
	}
	for _, t := range w.laid {
		r.Tables, r.Of = append(r.Tables, *t.table), append(r.Of, t.ref)
	}
	if !w.held {
		r.walk = w
		defer func() { r.walk = nil }()
	}
	if o.OnResult == nil {
		return r, nil
	}
	return r, o.OnResult(r)
}
