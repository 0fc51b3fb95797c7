// Package readback reads captures back from what was published of them: from
// a Darwin Core Archive, which Write makes, or from a Darwin Core Data Package, where the terms of
// a capture stand with its occurrence, its identification, its event and the
// events around that, and in assertions. Both give the same captures; tests
// hold them against each other and against what went in.
package readback

import (
	"context"
	"iter"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
)

// Write writes the archive of a sequence of captures into a folder, 8,192 of
// them at a time.
func Write(dir string, d darwincore.Dataset, label func(string) string, captures iter.Seq[*record.Capture]) (darwincore.Counts, error) {
	a, err := darwincore.Create(dir, d, label)
	if err != nil {
		return darwincore.Counts{}, err
	}
	defer a.Discard()
	for part := range slices.Chunk(slices.Collect(captures), 1<<13) {
		if err := a.AddPart(part); err != nil {
			return darwincore.Counts{}, err
		}
	}
	return a.Close()
}

// Animal is a capture as it reads after publication: its terms, and the terms
// of its measurements by identifier.
type Animal struct {
	Terms        map[string]string
	Measurements map[string]map[string]string
}

func animal(terms map[string]string) Animal {
	return Animal{terms, map[string]map[string]string{}}
}

// texts are the filled cells of a row by term.
func texts(r *prove.Row) map[string]string {
	out := map[string]string{}
	for i, t := range r.Terms {
		if r.Values[i] != "" {
			out[t] = r.Values[i]
		}
	}
	return out
}

// Captures is what captures say before they are written, by occurrenceID.
func Captures(captures []*record.Capture, d darwincore.Dataset, label func(string) string) map[string]Animal {
	out, rows := map[string]Animal{}, darwincore.NewRowBuilder(d, label)
	for _, c := range captures {
		row := rows.Occurrence(c)
		a := animal(map[string]string{})
		for _, f := range row {
			a.Terms[f.Term] = f.Text
		}
		for _, m := range rows.Measurements(c) {
			fields := map[string]string{}
			for _, f := range m {
				if f.Term != "measurementID" && f.Term != "occurrenceID" {
					fields[f.Term] = f.Text
				}
			}
			a.Measurements[m.Get("measurementID")] = fields
		}
		out[row.Get("occurrenceID")] = a
	}
	return out
}

// Archive reads a Darwin Core Archive, by occurrenceID. The rows of media are
// left out, since the core names them too.
func Archive(ctx context.Context, path string) (map[string]Animal, error) {
	out := map[string]Animal{}
	_, err := prove.Path(ctx, path, prove.Options{Visit: func(r *prove.Row) error {
		v := texts(r)
		switch {
		case r.Core:
			out[r.ID] = animal(v)
		case strings.HasSuffix(r.RowType, "/MeasurementOrFact"):
			id := v["measurementID"]
			delete(v, "measurementID")
			out[r.ID].Measurements[id] = v
		}
		return nil
	}})
	return out, err
}
