package pipeline

import (
	"context"
	"io/fs"
	"os"
	"slices"
	"time"

	"github.com/spf13/pflag"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/prove/quality/boundary"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
)

// Options is what a caller may set beside the survey folder.
type Options struct {
	Flags    map[string]*pflag.Flag // flags that override keys of survey.yaml, by key path
	Progress func(stage string)     // told of each stage; nil for quiet
	Version  string                 // of the program, for run.json
	// ExactPlaces is the path of the one file that holds withheld places, for
	// Run; empty for none.
	ExactPlaces string

	// Whole holds all captures in memory, however many there are, and gives
	// them in the result.
	Whole bool

	proposing bool // the table of remedies need not be there yet
	wholeRows int  // rows up to which a survey is one part; 0 for the usual number
	partRows  int  // captures of a part; 0 for the usual number
}

// Result is what a run found. Of a survey that was walked in parts it has no
// captures and no findings but those of the tally.
type Result struct {
	Survey   *survey.Survey
	Tables   []record.Table
	Captures []*record.Capture
	Findings []record.Finding
	Counts   Counts
	Tally    Tally
	Written  []string // files written, below the output folder
}

// way is one walk along the stages.
type way struct {
	ctx      context.Context
	folder   string
	files    fs.FS
	out      string // folder that the outputs are prepared in
	temp     string // folder for what a stage needs while it works; the system's if empty
	survey   *survey.Survey
	version  string
	today    time.Time // the survey's date of publication; zero if it has none
	progress func(string)

	tables    *tables
	decided   decisions
	sensitive sensitive
	proposing bool
	inputs    *output.Inputs
	sheets    []sheetOf
	laid      []tableOf
	captures  []*record.Capture
	findings  []record.Finding
	settled   int
	tally     Tally
	counts    Counts
	written   []string
}

// sheetOf is a sheet with the index of its entry in survey.yaml.
type sheetOf struct {
	ref   int
	sheet record.Sheet
}

// tableOf is a table with the index of its sheet's entry, the number of its
// rows, and how many cells of each of its columns hold something.
type tableOf struct {
	ref    int
	table  *record.Table
	rows   int
	filled []int
}

// count takes rows of the table into account.
func (t *tableOf) count(rows []record.TableRow) {
	t.rows += len(rows)
	if t.filled == nil {
		t.filled = make([]int, len(t.table.Columns))
	}
	for i := range rows {
		for k := range rows[i].Cells {
			if !rows[i].Cells[k].Empty() {
				t.filled[k]++
			}
		}
	}
}

func start(folder string, o Options) (*way, error) {
	info, err := os.Stat(folder)
	switch {
	case err != nil:
		return nil, &CallError{folder + " is not there; give the path of a survey folder"}
	case !info.IsDir():
		return nil, &CallError{folder + " is a file; give the folder that holds survey.yaml"}
	}
	w := &way{folder: folder, files: os.DirFS(folder), inputs: output.NewInputs(folder), progress: o.Progress, version: o.Version, proposing: o.proposing}
	w.survey, err = survey.Load(w.files, o.Flags, Known())
	if err != nil {
		return nil, err
	}
	w.today, _ = time.Parse(time.DateOnly, w.survey.Dataset.Published) // no full date: nothing counts as the future
	if err := w.loadTables(); err != nil {
		return nil, err
	}
	if err := w.loadDecisions(); err != nil {
		return nil, err
	}
	return w, nil
}

// Check walks the stages up to the judgement and writes nothing.
func Check(ctx context.Context, folder string, o Options) (*Result, error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	w.temp = os.TempDir() // a walk in parts leaves nothing there
	if err := w.walkAll(ctx, o, judged, longJudged); err != nil {
		return nil, err
	}
	return w.result(), nil
}

// Run walks the whole way and writes below out, all or nothing: the files are
// prepared and proved in a folder of their own and moved into place together.
func Run(ctx context.Context, folder, out string, o Options) (_ *Result, err error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	if err := w.publishable(); err != nil {
		return nil, err
	}
	exact, err := w.askExact(o.ExactPlaces, out)
	if err != nil {
		return nil, err
	}
	defer exact.discard()
	place, err := output.Prepare(out)
	if err != nil {
		return nil, err
	}
	defer place.Discard(&err)
	w.out, w.temp = place.Partial, place.Temp
	if err := w.walkAll(ctx, o, slices.Concat(judged, published), slices.Concat(longJudged, longPublished)); err != nil {
		return nil, err
	}
	if err := exact.prepare(w.sensitive.result); err != nil {
		return nil, err
	}
	if err := w.unchanged(); err != nil {
		return nil, err
	}
	if err := place.Commit(w.written, outlived(out, w.written)...); err != nil {
		return nil, err
	}
	if err := exact.commit(); err != nil {
		return nil, err
	}
	return w.result(), nil
}

// walkAll walks the stages, in parts where the survey is a long one.
func (w *way) walkAll(ctx context.Context, o Options, stages []stage, inParts []longStage) error {
	if code := w.survey.Dataset.CountryCode; code != "" {
		go boundary.Known(code) // unpacks the borders, which screening asks for
	}
	long, err := w.longer(o)
	if err != nil {
		return err
	}
	if !long {
		return w.walk(ctx, stages)
	}
	err = w.walkLong(ctx, o, inParts)
	if !toldTooLate(err) {
		return err
	}
	// The rows further down are not as the first ones said. All of them together
	// say more, if they can be held.
	if n, counted := w.rows(mostHeld); counted != nil || n > mostHeld {
		return err
	}
	again, failed := start(w.folder, o)
	if failed != nil {
		return failed
	}
	again.out, again.temp = w.out, w.temp
	*w = *again
	return w.walk(ctx, stages)
}

func (w *way) result() *Result {
	record.SortFindings(w.findings)
	if w.tally.ByRule == nil {
		w.tally = TallyOf(w.findings)
	}
	r := &Result{Survey: w.survey, Captures: w.captures, Findings: w.findings, Counts: w.counts, Tally: w.tally, Written: w.written}
	for _, t := range w.laid {
		r.Tables = append(r.Tables, *t.table)
	}
	return r
}
