package pipeline

import (
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/survey"
)

// proveAll proves what was published, and adds what is found to the findings.
func (w *walk) proveAll() error {
	w.captures, w.findings, w.settled = nil, nil, 0
	w.verdicts, w.buffers, w.before = verdicts{}, &[3]store.Buffer{}, nil // not needed any more
	w.learned.places, w.learned.tares, w.learned.spots = nil, nil, located.Spots{}
	if err := w.sample.Check(); err != nil {
		return err
	}
	if err := w.prove(); err != nil {
		return err
	}
	w.settle()
	record.SortFindings(w.findings)
	w.whole = append(w.whole, w.findings...)
	return w.judged.Add(w.findings)
}

// prove reads the archive back. What is wrong with it is a fault of this
// program or of the description, and nothing is released.
func (w *walk) prove() error {
	if w.counts.Occurrences != w.counts.Captures {
		return fmt.Errorf("%s went in and %s came out; nothing was released", record.Plural(w.counts.Captures, "capture"), record.Plural(w.counts.Occurrences, "occurrence"))
	}
	if err := w.book.Settle(); err != nil {
		return err
	}
	fs, err := prove.Archive(w.ctx, filepath.Join(w.out, darwincore.Folder), prove.Counts{
		Occurrences: w.counts.Occurrences, Measurements: w.counts.Measurements, Media: w.counts.Media}, prove.Options{TempDir: w.temp})
	if err := w.proved(darwincore.Folder, "the archive", fs, err); err != nil {
		return err
	}
	return w.provePackage()
}

// proved refuses to release what did not pass its proof, and takes over what
// was found where it passed.
func (w *walk) proved(folder, what string, fs []record.Finding, err error) error {
	if err != nil {
		var lines []string
		for _, f := range fs {
			lines = append(lines, fmt.Sprintf("%s: %s: %s", f.At, f.Rule, f.Reason))
		}
		return fmt.Errorf("%s does not hold what the standard asks for and was not released: %w\n%s", what, err, strings.Join(lines, "\n"))
	}
	w.find(translate(folder, fs)...)
	return nil
}

// translate lets a finding on what is published speak of the file in its
// folder.
func translate(folder string, fs []record.Finding) []record.Finding {
	for i := range fs {
		if !strings.HasPrefix(fs[i].At.File, folder) {
			fs[i].At.File = folder + "/" + fs[i].At.File
		}
	}
	return fs
}

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
