package pipeline

import (
	"cmp"
	"context"
	"io/fs"
	"slices"
	"sync"
	"time"

	"github.com/spf13/pflag"
	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/darwincore"
	tableschemas "spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/prove/causes"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/repeats"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/sample"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/season"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/tally"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/undecided"
	"spadefoot/pipeline/weigh"
	"spadefoot/pipeline/withhold"
	"spadefoot/pipeline/withhold/exact"
)

// walk is one walk along the stages. What it holds of the survey as a whole is
// bounded; in captures and findings it has the part in hand.
type walk struct {
	ctx      context.Context
	folder   string
	files    fs.FS
	out      string                // folder that the outputs are prepared in
	temp     string                // folder for what a stage needs while it works; the system's if empty
	keep     func(names ...string) // begins to bring entries of out to the disk
	survey   *survey.Survey
	version  string
	today    time.Time // the survey's date of publication; zero if it has none
	progress func(string)
	parted   func(done, all int)

	tables     *tables
	onSheets   weigh.Checks // of scales, that lines of the sheets tell
	decided    decisions
	sensitive  sensitive
	exact      *exact.File // of the places that are withheld; nil for none
	proposing  bool
	inspecting bool          // for pages: captures and findings are on disk, and tables keep their first rows
	proposal   *record.Level // of findings that get a row of remedies; nil for none
	inputs     *output.Inputs
	sheets     []sheetOf
	laid       []*tableOf
	counts     Counts
	written    []string
	tally      tally.Tally
	book       *account.Book // what became of the cells; nil until the archive is begun

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
	sites    located.Sites
	verdicts verdicts
	computed string      // how derived readings came about, for the methods
	before   map[int]int // of a marked animal's capture the one before it

	undecided *undecided.Cells // with errors that are reported for the survey
	doubted   remarks          // on cells in doubt by what is reported for the survey
	seasonal  *seasonal        // of all copies of the walk: it is made while they go on

	page     *report.Gatherer
	became   report.ReadingCount
	sample   sample.Captures
	at       map[record.Address]int // of the rows in hand, the index of the capture
	anywhere bool                   // rows may be asked for that are not in hand
	fetched  int                    // part that was fetched last for such a row
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
	Progress func(stage string)     // called with each stage; nil for quiet
	Parts    func(done, all int)    // called with each part of a survey of several; all is 0 while it is read; nil for quiet
	Version  string                 // of the program, for run.json
	// ExactPlaces is the path of the one file that holds withheld places, for
	// Run; empty for none.
	ExactPlaces string

	// Instead holds texts that are read in place of survey.yaml and mappings of the
	// folder, by name, for Inspect: what a change would do.
	Instead map[string][]byte

	// Writes are files that are written beside the outputs, by the flag that asks
	// for each. None of them may be a file of the survey.
	Writes map[string]string

	// Told is called with the result, whose findings it can go through; nil for
	// nothing.
	OnResult func(*Result) error

	proposing  bool // the table of remedies need not be there yet
	wholeRows  int  // rows up to which a survey is one part; 0 for the usual number
	partRows   int  // captures of a part; 0 for the usual number
	windowRows int  // rows that decide the layout of a text file; 0 for the usual number
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
	screening    *screen.Screening
	inference    *infer.Inference
	quality      *qualityJudge
	doubtedCells map[record.Address]bool   // cells whose date or position is doubted
	doubted      map[int]bool              // captures that are reported with a later one
	joined       func(record.Finding) bool // what two sources that are one say of single rows
	duplicates   pairs
	follows      pairs
	known        map[string]recaptures.Seen // animals that remarks name, by their folded mark
	shared       []map[record.Address]bool  // by part that was screened elsewhere: captures that share a cause
}

// parts is what a survey is kept in while it is walked.
type parts struct {
	held       bool // the survey is one part, in memory with the rows of its tables
	partRows   int  // captures of a part
	windowRows int  // rows that decide the layout of a text file
	store      *store.Captures
	// heard holds the findings of reading and weighing, aside those of them
	// that are reported with another cell of the same cause, judged all
	// findings on single captures. Run i of each is of part i; judged has more.
	fromReading, aside, judged *store.Findings
	tested                     *store.Findings // what the quality tests doubt, by part; nil where they are asked when a part is judged
	testedFrom                 [][]byte        // by part: of each doubt, where it comes from
	buffers                    *[3]store.Buffer
	changed                    []bool   // by part: judging gave captures other identifiers or values
	superseded                 []bool   // by part: what was found is not the last word
	runs                       [][]int  // of judged, by part
	spans                      [][]span // by part: where its captures stand
	animal                     []int    // number of the first animal of each part
	derived                    bool     // the readings of condition have joined the captures
}

// learned is what the first pass learns of the survey, in bounded memory.
type learned struct {
	sum        *screen.Summary
	screened   screen.Settings
	weighed    weigh.Settings
	tares      weigh.Tares
	repeats    repeats.Summary
	keys       *store.EqualTexts
	contents   *store.EqualTexts // of captures, where there are two sheets or more
	sizes      map[keys.Source]int
	duplicates *screen.Duplicates
	marks      *screen.Marks
	marked     *store.EqualTexts // the marks of animals
	places     located.Positions
	spots      located.Spots
	remarks    *recaptures.Remarks
	recaught   map[int]recaptures.Mention // remarks that name an animal, by the ordinal of the capture
}

// span is a run of rows of one sheet within a part.
type span struct {
	file, sheet string
	first, last int
}

// intake stores batches in its own goroutine, with its own walk for
// the batch in hand.
type intake struct {
	walk    *walk
	storing walk
	waiting batch
	given   int // batches passed on
	batches chan batch
	failed  chan error

	give func(batch) error // takes what is read at once, where another machine stores it; nil for none
}

// batch is what was read of some rows: captures, the findings in them, aside those
// that are reported with other cells, and the tables that there are so far.
// Captures that were weighed where they were read come with what was found then.
type batch struct {
	captures     []*record.Capture
	found, aside []record.Finding
	weighed      bool
	weighing     []record.Finding
	laid         []*tableOf
	memory       []normalise.Memory // of the captures
}

// decisions is what people decided about cells, and what came of it.
type decisions struct {
	file    string // name of the table of remedies; empty for none. A workbook may be beside it
	given   []remedy.Remedy
	outcome *remedy.Outcome
	parts   map[int][]*remedy.Applied // by the part that has their rows
}

// Readiness is how far an archive is from being one to publish.
type Readiness struct {
	Errors  int              // that nobody decided on
	First   []record.Finding // of them
	LeftOut int              // values that are not published as such for their sake
	Kept    bool             // they are published all the same
	Waiting int              // rows of the table of remedies without an action
	Table   string           // its name
	Next    string           // what to do next
	Drafted []string         // keys under dataset that still hold what a draft put there
}

// tables are the files beside the sheets.
type tables struct {
	checklist   *taxon.Checklist
	sites       *place.Sites
	bags        weigh.BagTable
	checks      weigh.Checks
	limits      []screen.Limit
	specimens   []infer.Specimen
	descriptors tableschemas.Descriptors
}

// sensitive is what must not be published, and what was done about it.
type sensitive struct {
	file   string // name of the table of sensitive taxa; empty for none
	rules  []withhold.Rule
	result *withhold.Hiding
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

// pairs are pairs of captures by their ordinals, the earlier first, in the
// order of the later ones.
type pairs [][2]int

func (p pairs) sort() {
	slices.SortFunc(p, func(a, b [2]int) int { return cmp.Or(a[1]-b[1], a[0]-b[0]) })
}

// repeated is what is known of keys that more than one capture has.
type repeated struct {
	keys   pairs                      // with the first capture of the key
	nth    map[int]int                // captures that do not have their key to themselves: which one of equal contents it is
	counts map[string]findings.Counts // findings by key, for these keys: their captures may be of several parts
}

// qualityJudge lets the published quality tests judge the rows that would be
// published, before anything is, part by part: with defaults, and with what the
// data set says of every row. A failing test on a
// term of the row is a finding with the label of the test as reference. What is
// empty is not doubted. One cause is one finding, in however many rows and
// parts it shows.
type qualityJudge struct {
	w     *walk
	rows  *darwincore.RowBuilder
	tests *quality.Examiner
	slots []int     // of the terms that the tests look at
	idle  sync.Pool // of *rowJudge
	causes.Gatherer
	columns *columns // nil if nobody asks
	fit     bool     // every value that is published was judged, and its term can hold it
}

// columns are those that captures need.
type columns struct {
	archive darwincore.Columns
	table   report.Columns // captures.csv
}

// seasonal is what the results are made from, and the results.
type seasonal struct {
	gather  *season.Gatherer
	doubts  season.Doubts // of the survey as a whole
	results *season.Results
	ending  *errgroup.Group // makes the results
}

// ended waits for the results.
func (s *seasonal) ended() error {
	if s.ending == nil {
		return nil
	}
	return s.ending.Wait()
}

func (s *seasonal) close() error {
	_ = s.ended() // of a run that failed it says no more
	return s.gather.Close()
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
