package pipeline

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/season"
	"spadefoot/pipeline/survey"
)

// resultsFolder holds what the captures say, in tables.
const resultsFolder = "results"

// seasonal is what the results are made from, and the results.
type seasonal struct {
	gather  *season.Gather
	doubts  season.Doubts // of the survey as a whole
	results *season.Results
}

// gatherSeason takes every part for the results only.
func (w *walk) gatherSeason() error {
	if err := w.beginSeason(); err != nil {
		return err
	}
	if err := w.linkMarks(); err != nil {
		return err
	}
	w.undecided = w.undecidedIn(w.whole)
	if err := w.eachPart((*walk).finish, w.addSeason); err != nil {
		return err
	}
	return w.endSeason()
}

func (w *walk) beginSeason() error {
	settings, err := w.seasonSettings()
	if err != nil {
		return err
	}
	w.seasonal = seasonal{gather: season.Begin(w.temp, settings)}
	w.seasonal.doubts.Add(w.whole)
	return nil
}

// seasonSettings lays rules.season over the defaults.
func (w *walk) seasonSettings() (season.Settings, error) {
	s := season.Defaults()
	if err := decode(w.survey.Rules.Season, &s, "rules.season"); err != nil {
		return s, err
	}
	if err := s.Check(); err != nil {
		return s, &CallError{Reason: fmt.Sprintf("%s, key rules.season: %v", survey.FileName, err)}
	}
	s.Night = w.survey.Window.Night != nil && *w.survey.Window.Night
	return s, nil
}

// addSeason takes the captures of the part in hand into the results.
func (w *walk) addSeason(part int) error {
	aside, err := w.aside.Run(part)
	if err != nil {
		return err
	}
	doubts := season.Doubts{Beside: &w.seasonal.doubts}
	doubts.Add(w.findings)
	doubts.Add(aside)
	from := w.store.First(part)
	for k, c := range w.captures {
		if err := w.seasonal.gather.Add(from+k, c, &doubts); err != nil {
			return err
		}
	}
	return nil
}

// endSeason makes the results, and writes them where a run writes.
func (w *walk) endSeason() (err error) {
	var create season.Create
	if w.out != "" {
		folder := filepath.Join(w.out, resultsFolder)
		if err := os.Mkdir(folder, 0o755); err != nil {
			return &OutputError{Path: resultsFolder, Err: err}
		}
		create = func(name string) (io.WriteCloser, error) { return os.Create(filepath.Join(folder, name)) }
		w.written = append(w.written, resultsFolder)
	}
	w.seasonal.results, err = w.seasonal.gather.Write(create, w.survey.Measures().Sort)
	err = errors.Join(err, w.seasonal.gather.Close())
	w.seasonal.gather = nil
	if err != nil && w.out != "" {
		return &OutputError{Path: resultsFolder, Err: err}
	}
	return err
}

// ours reports whether a run may have written a file of this name into one of
// its folders.
func ours(folder, name string) bool {
	if folder == resultsFolder {
		return season.Ours(name)
	}
	return darwincore.Ours(folder, name)
}
