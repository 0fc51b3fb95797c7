package pipeline

import (
	"errors"
	"io"
	"path/filepath"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// report writes the findings in the order of the outputs, and what is made from
// what was gathered.
func (w *walk) report() error {
	w.anywhere = true
	record.SortFindings(w.whole)
	w.page.End(w.whole)
	page := w.pageOf()
	var err error
	if page.Season, err = report.SeasonHTML(w.seasonal.results, w.measure, w.survey.Measures().Sort, resultsFolder); err != nil {
		return err
	}
	w.written = append(w.written, "findings.csv", "findings.json", "run.json", "report.html")
	var group errgroup.Group
	group.Go(func() error { return w.write("report.html", func(o io.Writer) error { return report.HTML(o, page) }) })
	group.Go(func() error {
		var failed error
		return errors.Join(
			w.write("findings.csv", func(o io.Writer) error { return report.EachFindingCSV(o, w.counting(&failed)) }), failed,
			w.write("findings.json", func(o io.Writer) error {
				return report.EachFindingJSON(o, w.tally.Levels, w.inOrder(w.judged, &failed))
			}), failed,
			w.write("run.json", w.writeRun))
	})
	return group.Wait()
}

func (w *walk) write(name string, write func(io.Writer) error) error {
	if err := output.WriteFile(filepath.Join(w.out, name), write); err != nil {
		return &OutputError{Path: name, Err: err}
	}
	return nil
}
