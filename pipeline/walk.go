package pipeline

import (
	"context"
	"io/fs"
	"os"
	"time"

	"github.com/spf13/pflag"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/sample"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/tally"
	"spadefoot/pipeline/undecided"
	"spadefoot/pipeline/withhold"
	"spadefoot/pipeline/withhold/exact"
)

// The errors that end a walk.
type (
	CallError   = output.CallError
	InputError  = output.InputError
	OutputError = output.Error
)

// Options is what a caller may set beside the survey folder.
type Options struct {
	Flags    map[string]*pflag.Flag // flags that override keys of survey.yaml, by key path
	Progress func(stage string)     // told of each stage; nil for quiet
	Parts    func(done, all int)    // told of each part of a survey of several; all is 0 while it is read; nil for quiet
	Version  string                 // of the program, for run.json
	// ExactPlaces is the path of the one file that holds withheld places, for
	// Run; empty for none.
	ExactPlaces string

	// Instead holds texts that are read in place of survey.yaml and mappings of the
	// folder, by name, for Look: what a change would do.
	Instead map[string][]byte

	// Writes are files that are written beside the outputs, by the flag that asks
	// for each. None of them may be a file of the survey.
	Writes map[string]string

	// Told is called with the result, whose findings it can go through; nil for
	// nothing.
	Told func(*Result) error

	proposing bool // the table of remedies need not be there yet
	wholeRows int  // rows up to which a survey is one part; 0 for the usual number
	partRows  int  // captures of a part; 0 for the usual number
}

// Result is what a run found. Of a survey of several parts it has no captures
// and no findings but those of the tally; Each and Results give them one by one,
// as long as Options.Told lasts.
type Result struct {
	Survey   *survey.Survey
	Tables   []record.Table
	Of       []int // for each table the index of its sheet in the survey
	Captures []*record.Capture
	Findings []record.Finding
	Counts   Counts
	Tally    tally.Tally
	Ready    Readiness
	Written  []string // files written, below the output folder

	walk  *walk           // of a survey of several parts
	guard *withhold.Guard // looks for places that are withheld; nil for none
}

// walk is one walk along the stages. What it holds of the survey as a whole is
// bounded; in captures and findings it has the part in hand.
type walk struct {
	ctx      context.Context
	folder   string
	files    fs.FS
	out      string // folder that the outputs are prepared in
	temp     string // folder for what a stage needs while it works; the system's if empty
	survey   *survey.Survey
	version  string
	today    time.Time // the survey's date of publication; zero if it has none
	progress func(string)
	parted   func(done, all int)

	tables    *tables
	onSheets  checks // of scales, that lines of the sheets tell
	decided   decisions
	sensitive sensitive
	exact     *exact.File // of the places that are withheld; nil for none
	proposing bool
	looking   bool          // for pages: captures and findings are on disk, and tables keep their first rows
	proposal  *record.Level // of findings that get a row of remedies; nil for none
	inputs    *output.Inputs
	sheets    []sheetOf
	laid      []*tableOf
	counts    Counts
	written   []string
	tally     tally.Tally
	book      *account.Book // what became of the cells; nil until the archive is begun

	captures []*record.Capture // of the part in hand
	next     []*record.Capture // of the part behind it, while parts are screened
	last     []*record.Capture // the last before it, as they were screened
	findings []record.Finding  // on it
	settled  int               // of them, those that have their levels
	whole    []record.Finding  // on the survey and not on a part

	parts
	learned  learned
	intake   *intake
	scout    *remedy.Search // for the cells of remedies; nil where rows are taken
	keys     keys.Doubts
	repeated repeated
	region   place.Region
	verdicts verdicts
	computed string      // how derived readings came about, for the methods
	before   map[int]int // of a marked animal's capture the one before it

	undecided *undecided.Cells // with errors that are told of the survey
	seasonal  seasonal

	page     *report.Gather
	became   report.ReadingCount
	sample   sample.Captures
	at       map[record.Address]int // of the rows in hand, the index of the capture
	anywhere bool                   // rows may be asked for that are not in hand
}

// sheetOf is a sheet with the index of its entry in survey.yaml.
type sheetOf struct {
	ref   int
	sheet record.Sheet
}

// tableOf is a table with the index of its sheet's entry, the number of its
// rows, and how many cells of each of its columns hold something, and were left
// out with their captures.
type tableOf struct {
	ref     int
	table   *record.Table
	rows    int
	filled  []int
	dropped []int
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

// drop takes captures into account that a person left out.
func (t *tableOf) drop(captures []*record.Capture) {
	if len(captures) > 0 && t.dropped == nil {
		t.dropped = make([]int, len(t.table.Columns))
	}
	for _, c := range captures {
		for _, cell := range c.Cells {
			t.dropped[cell.Column]++
		}
	}
}

func start(folder string, o Options) (*walk, error) {
	info, err := os.Stat(folder)
	switch {
	case err != nil:
		return nil, &CallError{Reason: folder + " is not there; give the path of a survey folder"}
	case !info.IsDir():
		return nil, &CallError{Reason: folder + " is a file; give the folder that holds survey.yaml"}
	}
	w := &walk{folder: folder, files: output.Files(folder), inputs: output.NewInputs(folder), progress: o.Progress, parted: o.Parts, version: o.Version, proposing: o.proposing}
	if o.Instead != nil {
		w.files = insteadOf{w.files, o.Instead}
	}
	w.survey, err = survey.Load(w.files, o.Flags, known.Words())
	if err != nil {
		return nil, err
	}
	if err := w.spareInputs(o); err != nil {
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
