// Package pipeline is the way from what a field team wrote to what the world
// can use. This file has the list of its stages; each of the other files
// carries one of them out, or a verb that walks some of them.
//
//	read         files to sheets                                pipeline/sheet
//	lay out      sheets to tables                               pipeline/layout
//	map          headings to meaning                            pipeline/mapping
//	normalise    cells to typed values, the original beside     pipeline/normalise
//	weigh        gross and tare to net                          pipeline/weigh
//	screen       values against their group                     pipeline/screen
//	infer        sex, species, condition                        pipeline/infer
//	standardise  captures to Darwin Core rows                   pipeline/darwincore
//	prove        files against the published standards          pipeline/prove
//	report       findings for people and machines               pipeline/report
//
// A stage gets what the stages before it made and never reaches back. The
// package knows the survey folder and the output folder; the stages know
// neither.
package pipeline

import (
	"context"
	"fmt"
	"io/fs"
	"math"
	"os"
	"slices"
	"time"

	"github.com/spf13/pflag"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/prove/quality/boundary"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/sample"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/survey/size"
	"spadefoot/pipeline/tally"
	"spadefoot/pipeline/undecided"
	"spadefoot/pipeline/weigh"
	"spadefoot/pipeline/withhold"
	"spadefoot/pipeline/withhold/exact"
)

// judged are the stages up to the judgement: what check needs. The first takes
// each part of the survey through read, lay out, map, remedy, normalise and
// weigh; each of the others takes it up again.
var judged = []stage{
	{"read", (*walk).read},         // sheets to captures, and what the survey is learnt from
	{"screen", (*walk).screen},     // each part against the survey; what infer and quality learn
	{"infer", (*walk).infer},       // species, condition, and what is said of the whole survey
	{"withhold", (*walk).withhold}, // no place of a sensitive taxon is known from here on
}

// published are the stages that make and prove the archive.
var published = []stage{
	{"standardise", (*walk).standardise},
	{"prove", (*walk).proveAll},
	{"report", (*walk).report},
	{"guard", (*walk).guard},
}

// Check walks the stages up to the judgement and writes nothing.
func Check(ctx context.Context, folder string, o Options) (_ *Result, err error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	defer w.close(&err)
	w.temp = os.TempDir() // a walk in parts leaves nothing there
	if err := w.walk(ctx, o, append(judged[:len(judged):len(judged)], stage{"guard", (*walk).guardDescription})); err != nil {
		return nil, err
	}
	return w.result(o)
}

// Run walks all stages and writes below out, all or nothing: the files are
// prepared and proved in a folder of their own and moved into place together.
func Run(ctx context.Context, folder, out string, o Options) (_ *Result, err error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	if err := apart(out, folder); err != nil {
		return nil, err
	}
	if err := w.publishable(); err != nil {
		return nil, err
	}
	if w.exact, err = w.askExact(o.ExactPlaces, out); err != nil {
		return nil, err
	}
	defer w.exact.Discard()
	place, err := output.Prepare(out)
	if err != nil {
		return nil, err
	}
	defer place.Discard(&err)
	defer w.close(&err)
	place.Ours = ours
	w.out, w.temp = place.Partial, place.Temp
	if err := w.walk(ctx, o, slices.Concat(judged, published)); err != nil {
		return nil, err
	}
	if err := w.unchanged(); err != nil {
		return nil, err
	}
	if err := w.spareOutputs(out); err != nil {
		return nil, err
	}
	if err := place.Commit(w.written, outlived(out, w.written)...); err != nil {
		return nil, err
	}
	if err := w.exact.Commit(); err != nil {
		return nil, err
	}
	return w.result(o)
}

// apart refuses an output folder in the survey folder: what a run writes would
// stand among what the next one reads.
func apart(out, folder string) error {
	inside, err := output.Within(out, folder)
	if err == nil && inside {
		return &CallError{Reason: fmt.Sprintf("--out: %s is in the survey folder %s, where outputs would be read as sheets; give a folder beside it", out, folder)}
	}
	return nil // what cannot be told, preparing the folder tells
}

// stage is one step of the way.
type stage struct {
	name string
	do   func(*walk) error
}

// walk takes the stages in order. Where rows further down are not as the first
// ones said, all of them together say more, if they can be held.
func (w *walk) walk(ctx context.Context, o Options, stages []stage) error {
	if code := w.survey.Dataset.CountryCode; code != "" {
		go boundary.Known(code) // unpacks the borders, which screening asks for
	}
	go layout.Prepare()
	if err := w.settleSize(o); err != nil {
		return err
	}
	err := w.take(ctx, stages)
	if !toldTooLate(err) {
		return err
	}
	if n, counted := size.Rows(w.survey, w.inputs.Path, maxHeld); counted != nil || n > maxHeld {
		return err
	}
	w.close(&err)
	again, failed := start(w.folder, o)
	if failed != nil {
		return failed
	}
	again.proposal = w.proposal
	again.out, again.temp, again.exact, again.held = w.out, w.temp, w.exact, true
	if again.looking = w.looking; again.looking {
		again.sensitive = sensitive{}
	}
	again.partRows = math.MaxInt
	*w = *again
	return w.take(ctx, stages)
}

// take takes the stages in order and stops between two of them, or between two
// parts, when ctx ends.
func (w *walk) take(ctx context.Context, stages []stage) error {
	if err := w.open(); err != nil {
		return w.blame(err)
	}
	return w.along(ctx, stages)
}

// along takes the stages of a walk that is open.
func (w *walk) along(ctx context.Context, stages []stage) error {
	for _, s := range stages {
		if err := w.enter(ctx, s.name); err != nil {
			return err
		}
		switch err := s.do(w); {
		case err != nil && ctx.Err() != nil:
			return fmt.Errorf("stopped in the stage %q: %w", s.name, ctx.Err())
		case err != nil:
			return w.blame(err)
		}
	}
	if err := w.count(); err != nil {
		return w.blame(err)
	}
	return ctx.Err()
}

// enter begins a stage, unless ctx has ended.
func (w *walk) enter(ctx context.Context, stage string) error {
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("stopped before the stage %q: %w", stage, err)
	}
	if w.progress != nil {
		w.progress(stage)
	}
	w.ctx = ctx
	return nil
}

// result is what came of the walk, told to whom it may concern.
func (w *walk) result(o Options) (*Result, error) {
	r := &Result{Survey: w.survey, Captures: w.captures, Findings: w.findings, Counts: w.counts, Tally: w.tally, Ready: w.readiness(&w.tally), Written: w.written}
	if hiding := w.sensitive.result; hiding != nil {
		r.guard = hiding.Guard
	}
	for _, t := range w.laid {
		r.Tables, r.Of = append(r.Tables, *t.table), append(r.Of, t.ref)
	}
	if !w.held {
		r.walk = w
		defer func() { r.walk = nil }()
	}
	if o.Told == nil {
		return r, nil
	}
	return r, o.Told(r)
}

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

	proposing  bool // the table of remedies need not be there yet
	wholeRows  int  // rows up to which a survey is one part; 0 for the usual number
	partRows   int  // captures of a part; 0 for the usual number
	windowRows int  // rows that the layout of a text file is told from; 0 for the usual number
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
	onSheets  weigh.Checks // of scales, that lines of the sheets tell
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

	captures []*record.Capture       // of the part in hand
	next     []*record.Capture       // of the part behind it, while parts are screened
	last     []*record.Capture       // the last before it, as they were screened
	findings []record.Finding        // on it
	settled  int                     // of them, those that have their levels
	whole    []record.Finding        // on the survey and not on a part
	sharing  map[record.Address]bool // captures of the part with cells that a cause of many explains

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

	undecided *undecided.Cells          // with errors that are told of the survey
	doubted   map[record.Address]string // cells in doubt by what is told of the survey, and why
	seasonal  seasonal

	page     *report.Gather
	became   report.ReadingCount
	sample   sample.Captures
	at       map[record.Address]int // of the rows in hand, the index of the capture
	anywhere bool                   // rows may be asked for that are not in hand
}

func start(folder string, o Options) (*walk, error) {
	info, err := os.Stat(folder)
	switch {
	case err != nil:
		return nil, &CallError{Reason: folder + " does not exist; give the path of a survey folder"}
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

// Counts follows the captures from the sheets to the archive.
type Counts struct {
	Sheets       int `json:"sheets"`
	RowsRead     int `json:"rowsRead"`
	Tables       int `json:"tables"`
	TableRows    int `json:"tableRows"`
	Captures     int `json:"captures"`
	Dropped      int `json:"dropped,omitempty"` // captures that a remedy left out, beside those
	Occurrences  int `json:"occurrences"`
	Measurements int `json:"measurements"`
	Media        int `json:"media,omitempty"`
	Absences     int `json:"absences,omitempty"` // of the captures: rows that say that nothing was found
	LeftOut      int `json:"leftOut,omitempty"`  // values that are not published since nobody decided on them
	Withheld     int `json:"withheld,omitempty"` // of the captures: those whose place is withheld

	Package map[string]int `json:"package,omitempty"` // rows of the data package, by table
}

// verdicts is what judging needs between the parts.
type verdicts struct {
	screening  *screen.Screening
	inference  *infer.Inference
	quality    *qualityJudge
	said       map[record.Address]bool // cells whose date or position is doubted
	columns    *report.Columns
	doubted    map[int]bool              // captures that are told with a later one
	joined     func(record.Finding) bool // what two sources that are one say of single rows
	duplicates pairs
	follows    pairs
	known      map[string]recaptures.Seen // animals that remarks name, by their folded mark
	shared     []map[record.Address]bool  // by part that was screened elsewhere: captures that share a cause
}
