package pipeline

import (
	"context"
	"fmt"
	"html/template"
	"io"
	"os"
	"path/filepath"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/report"
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

// SeasonPage walks the stages up to the judgement and returns what the captures
// say, as the body of a page for the team's own eyes: nothing is withheld. It
// writes nothing.
func SeasonPage(ctx context.Context, folder string, o Options) (page template.HTML, err error) {
	w, err := start(folder, o)
	if err != nil {
		return "", err
	}
	defer w.close(&err)
	w.temp, w.sensitive = os.TempDir(), sensitive{}
	stages := append(judged[:len(judged):len(judged)], stage{"season", (*walk).gatherSeason})
	if err := w.walk(ctx, o, stages); err != nil {
		return "", err
	}
	return report.SeasonHTML(w.seasonal.results, w.measure, w.measurementOrder, "")
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
		return s, &CallError{fmt.Sprintf("%s, key rules.season: %v", survey.FileName, err)}
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
	w.seasonal.results, err = w.seasonal.gather.Write(create, w.measurementOrder)
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
