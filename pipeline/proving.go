package pipeline

import (
	"context"
	"encoding/csv"
	"errors"
	"io"
	"iter"
	"os"
	"strings"
	"time"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/prove/quality"
)

// ProveOptions says how an archive is proved.
type ProveOptions struct {
	Responses string   // file to write the answers of the quality tests to; none if empty
	Only      []string // labels of the quality tests to answer; all if empty
	Today     time.Time
}

// Prove holds any Darwin Core archive, zip or text file against the published
// standard and, where asked, writes the answers of the published quality tests
// to every row of its core.
func Prove(ctx context.Context, path string, o ProveOptions) (*prove.Result, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, &InputError{File: path, Err: err}
	}
	for _, label := range o.Only {
		if _, ok := quality.Find(label); !ok {
			return nil, &CallError{"--only: no quality test is labelled " + label + reasonLeftOut(label)}
		}
	}
	if o.Responses == "" {
		result, err := prove.Path(ctx, path, prove.Options{})
		return result, unread(path, err)
	}
	if inside, err := output.Within(o.Responses, path); err != nil || inside {
		return nil, &CallError{"--responses: " + o.Responses + " is the archive itself or lies in it; choose a place outside"}
	}
	var result *prove.Result
	err := output.WriteWhole(o.Responses, func(w io.Writer) (err error) {
		result, err = answers(ctx, path, w, o)
		return err
	})
	return result, err
}

// unread says that an archive could not be proved to its end.
func unread(path string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	return &InputError{File: path, Err: err}
}

func reasonLeftOut(label string) string {
	for _, a := range quality.LeftOut() {
		if a.Label == label {
			return "; it is left out: " + a.Reason
		}
	}
	return ""
}

// answers proves an archive and writes what the quality tests say of each row
// of its core as the rows go by.
func answers(ctx context.Context, path string, w io.Writer, o ProveOptions) (*prove.Result, error) {
	var result *prove.Result
	next, stop := iter.Pull2(coreRows(ctx, path, &result))
	defer stop()
	err := quality.Responses(csv.NewWriter(w), func() (quality.Record, bool, error) {
		r, err, more := next()
		return r, more && err == nil, err
	}, o.Only, quality.Params{Today: o.Today})
	return result, err
}

// errEnough ends a walk over the rows whose reader has gone.
var errEnough = errors.New("enough")

// coreRows proves an archive and gives the rows of its core as records of the
// quality tests; each is valid until the next is asked for. Of a data package
// the occurrences are given, with the terms that stand in their table.
func coreRows(ctx context.Context, path string, result **prove.Result) iter.Seq2[quality.Record, error] {
	return func(yield func(quality.Record, error) bool) {
		file := ""
		var record func([]string) quality.Record
		r, err := prove.Path(ctx, path, prove.Options{Visit: func(row *prove.Row) error {
			if !row.Core || !strings.Contains(row.RowType, "/") && row.RowType != "occurrence" {
				return nil
			}
			if row.File != file {
				file, record = row.File, quality.Columns(row.Terms)
			}
			values := record(row.Values)
			if !yield(func(term string) string {
				if term == "id" {
					return row.ID
				}
				return values(term)
			}, nil) {
				return errEnough
			}
			return nil
		}})
		*result = r
		if err != nil && !errors.Is(err, errEnough) {
			yield(nil, unread(path, err))
		}
	}
}
