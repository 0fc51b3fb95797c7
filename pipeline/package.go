package pipeline

import (
	"iter"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
)

// writePackage writes the captures as a Darwin Core Data Package too, where
// the survey asks for it.
func (w *way) writePackage() error { return w.packageOf(slices.Values(w.captures)) }

func (w *way) packageOf(captures iter.Seq[*record.Capture]) error {
	if !w.survey.Archive.Package {
		return nil
	}
	counts, err := darwincore.WritePackage(w.out, w.dataset(), label, captures)
	if err != nil {
		return &OutputError{Path: w.out, Err: err}
	}
	w.counts.Package = counts
	w.written = append(w.written, darwincore.PackageFolder)
	return nil
}

// provePackage reads the data package back, as prove does the archive.
func (w *way) provePackage() error {
	if w.counts.Package == nil {
		return nil
	}
	fs, err := prove.Package(w.ctx, filepath.Join(w.out, darwincore.PackageFolder), w.counts.Package, prove.Options{TempDir: w.temp})
	return w.proved(darwincore.PackageFolder, "the data package", fs, err)
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
