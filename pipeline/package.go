package pipeline

import (
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
)

// packageOf writes the captures as a Darwin Core Data Package too, where the
// survey asks for it.
func (w *walk) packageOf() error {
	if !w.survey.Archive.Package {
		return nil
	}
	var failed error
	counts, err := darwincore.WritePackage(w.out, w.dataset(), w.label, w.published(&failed))
	if err := errors.Join(err, failed); err != nil {
		return &OutputError{Path: w.out, Err: err}
	}
	w.counts.Package = counts
	w.written = append(w.written, darwincore.PackageFolder)
	return nil
}

// published returns the captures as they are published, one after the other.
func (w *walk) published(failed *error) iter.Seq[*record.Capture] {
	finish := (*walk).finish
	if w.held {
		finish = nil // they are
	}
	return func(yield func(*record.Capture) bool) {
		err := w.eachPart(finish, func(int) error {
			for _, c := range w.captures {
				if !yield(c) {
					return errEnough
				}
			}
			return nil
		})
		if !errors.Is(err, errEnough) {
			*failed = err
		}
	}
}

// provePackage reads the data package back, as prove does the archive.
func (w *walk) provePackage() error {
	if w.counts.Package == nil {
		return nil
	}
	if err := w.counts.samePackage(); err != nil {
		return err
	}
	if w.survey.Archive.Descriptors == "" {
		w.find(record.Finding{Rule: "descriptors-own", Level: record.Note, At: record.Address{File: survey.FileName}, Field: "archive.descriptors",
			Reason:    "the fields of the data package are described in words of ours, and the guide wants those of the published table schemas; with a copy of these, archive: {descriptors: FOLDER} takes them over",
			Reference: "Darwin Core Data Package guide 2026-05-26, section 3.3"})
	}
	fs, err := prove.Package(w.ctx, filepath.Join(w.out, darwincore.PackageFolder), w.counts.Package, prove.Options{TempDir: w.temp, Descriptors: w.tables.published()})
	return w.proved(darwincore.PackageFolder, "the data package", fs, err)
}

// samePackage refuses a package that lacks captures or measurements which the
// archive holds. Each measurement is an assertion; there are others beside them.
func (c *Counts) samePackage() error {
	for _, one := range []struct {
		table string
		want  int
	}{{"occurrence", c.Captures}, {"occurrence-assertion", c.Measurements}} {
		if n := c.Package[one.table]; n < one.want {
			return fmt.Errorf("the data package has %d rows in %s.csv where at least %d are needed, and nothing was released; this is a fault of the program, please report it", n, one.table, one.want)
		}
	}
	return nil
}

// outlived are outputs of an earlier run in a folder that this run did not
// make and that would contradict what it made: a data package of other
// captures.
func outlived(dir string, written []string) []string {
	if slices.Contains(written, darwincore.PackageFolder) {
		return nil
	}
	if _, err := os.Stat(filepath.Join(dir, darwincore.PackageFolder, darwincore.DescriptorFile)); err != nil {
		return nil
	}
	return []string{darwincore.PackageFolder}
}

// errEnough ends a walk over the rows whose reader has gone.
var errEnough = errors.New("enough")
