package prove

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Counts is what went into an archive.
type Counts struct{ Occurrences, Measurements, Media int }

// RefusedError says that an archive must not be released.
type RefusedError struct{ Findings []record.Finding }

func (e *RefusedError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "the archive failed its checks and was not released: %s", record.Plural(len(e.Findings), "error"))
	for i, f := range e.Findings {
		if i == 3 {
			b.WriteString("; ...")
			break
		}
		fmt.Fprintf(&b, "; %s: %s", f.At, f.Reason)
		if f.Field != "" {
			fmt.Fprintf(&b, " (%s)", f.Field)
		}
	}
	return b.String()
}

// Archive proves an archive of ours, a folder or a zip, before it is released.
// Beside the checks of Path, every heading has to be the current term that
// meta.xml gives it, measurements with a unit have to be numbers, and there
// have to be as many rows as were put in. It fails with a *RefusedError that
// holds the findings at level error; all findings are given in any case.
func Archive(ctx context.Context, path string, expect Counts, o Options) ([]record.Finding, error) {
	return released(ctx, path, o, func(parts []Part) []record.Finding { return counted(parts, expect) })
}

// Package proves a data package of ours before it is released, as Archive does
// an archive. Expect is the number of rows of each table.
func Package(ctx context.Context, path string, expect map[string]int, o Options) ([]record.Finding, error) {
	return released(ctx, path, o, func(parts []Part) (found []record.Finding) {
		got := map[string]int{}
		for _, p := range parts {
			got[p.RowType] = p.Rows
		}
		for _, name := range slices.Sorted(maps.Keys(expect)) {
			if got[name] != expect[name] {
				found = append(found, lost(name+".csv", name, expect[name], got[name]))
			}
		}
		return found
	})
}

// released proves what is to be released, with what counting its rows finds, and
// refuses it if anything is at level error.
func released(ctx context.Context, path string, o Options, count func([]Part) []record.Finding) ([]record.Finding, error) {
	r, err := run(ctx, path, o, true)
	switch {
	case r == nil:
		return nil, err
	case err != nil:
		return r.Findings, err
	}
	found := append(r.Findings, count(r.Parts)...)
	record.SortFindings(found)
	errs := slices.DeleteFunc(slices.Clone(found), func(f record.Finding) bool { return f.Level != record.Error })
	if len(errs) > 0 {
		return found, &RefusedError{errs}
	}
	return found, nil
}

// counted compares the rows that were read with those that were put in.
func counted(parts []Part, expect Counts) []record.Finding {
	got := map[string]int{}
	files := map[string]string{}
	for _, p := range parts {
		got[p.RowType] += p.Rows
		files[p.RowType] = strings.Join(p.Files, ", ")
	}
	var out []record.Finding
	for _, w := range []struct {
		rowType string
		rows    int
	}{{dwcSpace + "terms/Occurrence", expect.Occurrences}, {dwcSpace + "terms/MeasurementOrFact", expect.Measurements},
		{"http://rs.tdwg.org/ac/terms/Media", expect.Media}} {
		if got[w.rowType] != w.rows {
			out = append(out, lost(files[w.rowType], localName(w.rowType), w.rows, got[w.rowType]))
		}
	}
	return out
}

func lost(file, what string, in, out int) record.Finding {
	return record.Finding{Rule: "rows-lost", Level: record.Error, At: record.Address{File: file}, Field: what, Value: fmt.Sprint(out),
		Reason: fmt.Sprintf("%d rows were written, but %d are there", in, out)}
}
