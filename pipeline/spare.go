package pipeline

import (
	"cmp"
	"maps"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/withhold"
)

// own are the files that the survey is read from, whether they are there or
// not. None of them is ever written.
func (w *walk) own() []string {
	t := w.survey.Tables
	files := []string{survey.FileName, t.Checklist, t.Bags, t.Limits, t.Sites, t.Specimens, cmp.Or(t.Sensitive, withhold.FileName), t.Known}
	if !w.proposing {
		name, _ := w.remediesFiles()
		files = append(files, name, beside(name))
	}
	files = slices.AppendSeq(files, maps.Keys(w.survey.Files))
	for _, ref := range w.survey.Sheets {
		files = append(files, ref.File)
	}
	slices.Sort(files)
	return slices.DeleteFunc(slices.Compact(files), func(f string) bool { return f == "" })
}

// spareInputs refuses to write a file of the survey.
func (w *walk) spareInputs(o Options) error {
	own := w.own()
	for _, flag := range slices.Sorted(maps.Keys(o.Writes)) {
		if err := output.Spare(o.Writes[flag], w.folder, own); err != nil {
			return &CallError{Reason: flag + ": " + err.Error()}
		}
	}
	if o.ExactPlaces == "" {
		return nil
	}
	if err := output.Spare(o.ExactPlaces, w.folder, own); err != nil {
		return &CallError{Reason: "--exact-places: " + err.Error()}
	}
	return nil
}

// spareOutputs refuses to release outputs in the place of files of the survey.
func (w *walk) spareOutputs(out string) error {
	own := w.own()
	for _, name := range w.written {
		if err := output.SpareAll(filepath.Join(out, filepath.FromSlash(name)), w.folder, own); err != nil {
			return &CallError{Reason: "--out: " + err.Error()}
		}
	}
	return nil
}
