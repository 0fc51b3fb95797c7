package pipeline

import (
	"bufio"
	"errors"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// capturesTable is captures.csv under way.
type capturesTable struct {
	file  *os.File
	out   *bufio.Writer
	rows  *report.CaptureWriter
	whole func(*record.Capture) report.Counts // of findings on the survey that name the capture
	told  map[string]report.Counts            // of findings on captures of keys that are repeated
}

func (w *walk) newTable() (*capturesTable, error) {
	f, err := os.Create(filepath.Join(w.out, capturesFile))
	if err != nil {
		return nil, err
	}
	columns := w.verdicts.columns
	if len(w.before) > 0 {
		columns.Add(&record.Capture{Values: []record.Value{{Term: recaptureTerm}}})
	}
	for _, r := range w.verdicts.inference.Kinds() {
		columns.Add(&record.Capture{Readings: []record.Reading{r}})
	}
	out := bufio.NewWriterSize(f, 1<<16)
	return &capturesTable{f, out, columns.Writer(out, terms.Sort, w.survey.Measures().Sort), report.CountByCapture(slices.Values(w.whole)), w.repeated.told}, nil
}

func (t *capturesTable) add(captures []*record.Capture, fs []record.Finding) error {
	own := report.CountByCapture(slices.Values(fs))
	for _, c := range captures {
		n, several := t.told[c.Key]
		if !several {
			n = own(c)
		}
		if err := t.rows.Write(c, n.Plus(t.whole(c))); err != nil {
			return err
		}
	}
	return nil
}

func (t *capturesTable) close() error {
	return errors.Join(t.rows.Flush(), t.out.Flush(), t.file.Close())
}
