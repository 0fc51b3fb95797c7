package pipeline

import (
	"fmt"
	"path/filepath"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
)

// proveAll proves what was published, and adds what is found to the findings.
func (w *walk) proveAll() error {
	w.captures, w.findings, w.settled = nil, nil, 0
	w.verdicts, w.buffers, w.before = verdicts{}, &[3]store.Buffer{}, nil // not needed any more
	w.learned.places, w.learned.tares, w.learned.spots = nil, nil, nil
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
