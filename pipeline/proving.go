package pipeline

import (
	"context"
	"encoding/csv"
	"errors"
	"io"
	"io/fs"
	"iter"
	"os"
	"time"

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
		return nil, &InputError{path, err}
	}
	for _, label := range o.Only {
		if _, ok := quality.Find(label); !ok {
			return nil, &CallError{"--only: no quality test is labelled " + label + reasonLeftOut(label)}
		}
	}
	result, err := prove.Path(ctx, path, prove.Options{})
	var hostile *prove.HostileError
	switch {
	case errors.As(err, &hostile):
		return result, &InputError{path, err}
	case err != nil && errors.Is(err, context.Canceled):
		return result, err
	case err != nil:
		return result, &InputError{path, err}
	}
	if o.Responses == "" {
		return result, nil
	}
	return result, writeWhole(o.Responses, func(w io.Writer) error { return answers(ctx, path, w, o) })
}

func reasonLeftOut(label string) string {
	for _, a := range quality.LeftOut() {
		if a.Label == label {
			return "; it is left out: " + a.Reason
		}
	}
	return ""
}

// answers runs through the rows of the core once more and writes what the
// quality tests say of each.
func answers(ctx context.Context, path string, w io.Writer, o ProveOptions) error {
	next, stop := iter.Pull2(coreRows(ctx, path))
	defer stop()
	return quality.Responses(csv.NewWriter(w), func() (quality.Record, bool, error) {
		r, err, more := next()
		return r, more && err == nil, err
	}, o.Only, quality.Params{Today: o.Today})
}

// errEnough ends a walk over the rows whose reader has gone.
var errEnough = errors.New("enough")

// coreRows gives the rows of the core as records of the quality tests.
func coreRows(ctx context.Context, path string) iter.Seq2[quality.Record, error] {
	return func(yield func(quality.Record, error) bool) {
		_, err := prove.Path(ctx, path, prove.Options{Visit: func(row *prove.Row) error {
			if !row.Core {
				return nil
			}
			values := make(map[string]string, len(row.Terms))
			for i, t := range row.Terms {
				values[t] = row.Values[i]
			}
			if !yield(quality.FromMap(values), nil) {
				return errEnough
			}
			return nil
		}})
		if err != nil && !errors.Is(err, errEnough) {
			yield(nil, err)
		}
	}
}

// writeWhole writes a file beside its name first, so that a failure leaves
// what was there.
func writeWhole(path string, write func(io.Writer) error) error {
	partial := path + ".spadefoot-partial"
	err := writeFile(partial, write)
	if err == nil {
		err = os.Rename(partial, path)
	}
	if err != nil {
		_ = os.Remove(partial)
		var pathError *fs.PathError
		if errors.As(err, &pathError) {
			return &OutputError{path, err}
		}
		return err
	}
	return nil
}
