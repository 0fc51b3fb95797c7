//go:build !onemachine

package pipeline

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"sync"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/survey/size"
	"spadefoot/pipeline/weigh"
)

// Shared is a survey that several machines work on. The steps of the walk go
// between them as blocks of bytes:
//
//	Read     a sheet to pieces: read, lay out, map, normalise, weigh; each sheet by itself
//	Heading  of every piece to the outline: which pieces make which part
//	Gather   the pieces of a part: captures with names, and what is learnt of them, which joins in any order
//	Match    what captures have in common, by drawers: keys, contents, taxon and day
//	Fetch    of each part, the captures that others are compared with
//	Screen   a part against what was learnt of all; Relearn and Rescreen where parts have a cause in common
//	…Marks   the captures of one mark, by drawers: CountMarks, LearnMarks, FollowMarks
//	Seek     of each screened part, the captures that are compared with others of their mark
//	Infer    a screened part: sexes, and what species and condition are learnt from, which joins in any order
//	Link     the captures of one mark, by drawers: which follows which
//	Compare  a screened part with the species that were learnt
//	Conclude what is said of the survey as a whole, by what is said of the parts
//	Judge    in place of Infer to Conclude, where places are withheld: screened parts in their order
//	Finish   a screened part to captures as they are published, and the columns that they need, by what Judge said of it
//	Publish  some parts to a shard of the archive, proved; each by itself
//	Complete what is said of all shards to the description of the archive
//
// The parts are those of Run, so that what is judged is what Run judges. Many
// goroutines may use a Shared: each step works with a copy of the walk, and what is
// worked out of a Joined is worked out once.
type Shared struct {
	walk    *walk
	builder func() *darwincore.RowBuilder
	mu      sync.Mutex
	known   map[[4]uint64]*knowledge // by the keys of their Joined
}

// Share prepares a survey folder, which every machine sees under the same path.
// Archives of events and data packages need all captures in one place before the
// first row is taken, and are refused. Share reads the sheets for lines on checks of
// scales, where a scale is described, and for the cells that remedies mean: those of
// the files that they name, and all where one names a capture alone.
func Share(folder string, o Options) (*Shared, error) {
	s, err := share(folder, o)
	if err != nil {
		return nil, err
	}
	s.walk.checkReadable()
	return s, s.walk.findRemediesReadable()
}

// ShareWith prepares a survey folder as Share does, with the Preview of another
// machine, so that no sheet is read.
func ShareWith(folder string, o Options, preview []byte) (*Shared, error) {
	s, err := share(folder, o)
	if err != nil {
		return nil, err
	}
	var in sentPreview
	err = decodeBlock(preview, &in)
	s.walk.onSheets, s.walk.decided.outcome = weigh.Checks{All: in.All, At: in.At, Unread: in.Unread}, in.Decided
	return s, err
}

// sentPreview is what Share found in the sheets, on its way: checks of scales, and the
// cells of remedies.
type sentPreview struct {
	All     []weigh.Check
	At      []record.Address
	Unread  []record.Finding
	Decided *remedy.Outcome
}

// Preview is what Share found in the sheets, for ShareWith.
func (s *Shared) Preview() ([]byte, error) {
	of := s.walk.onSheets
	return encode(sentPreview{of.All, of.At, of.Unread, s.walk.decided.outcome})
}

func share(folder string, o Options) (*Shared, error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	if err := w.publishable(); err != nil {
		return nil, err
	}
	switch {
	case w.survey.Archive.Core == darwincore.EventCore:
		return nil, &CallError{Reason: "archive.core is event, but a run on several machines writes no event archives; use spadefoot run, or leave it out"}
	case w.survey.Archive.Package:
		return nil, &CallError{Reason: "archive.package is on, but a run on several machines writes no data package; use spadefoot run, or leave it out"}
	}
	w.settleReadable(o)
	return &Shared{walk: w, known: map[[4]uint64]*knowledge{},
		builder: sync.OnceValue(func() *darwincore.RowBuilder { return darwincore.NewRowBuilder(w.dataset(), w.label) })}, nil
}

// findRemediesReadable finds the cells that remedies mean, in the sheets that can be
// read: what is wrong with the others, reading them will say.
func (w *walk) findRemediesReadable() error {
	if len(w.decided.given) == 0 {
		return nil
	}
	all := w.newSearch(w.decided.given, nil)
	for i, ref := range w.survey.Sheets {
		path := w.inputs.Path(ref.File)
		if !all.Asks(ref.File) || sheet.Readable(ref.File, path) != nil {
			continue
		}
		one, err := w.searchSheet(i, w.held)
		if layoutChanged(err) && !w.held {
			if n, counted := size.RowsIn(ref, path, maxHeld); counted == nil && n <= maxHeld {
				one, err = w.searchSheet(i, true)
			}
		}
		if err == nil {
			all.Join(one)
		}
	}
	return w.settleRemedies(all)
}

// searchSheet looks through one sheet for the cells of remedies.
func (w *walk) searchSheet(i int, held bool) (*remedy.Search, error) {
	scout := *w
	scout.ctx, scout.held, scout.inputs = context.Background(), held, output.NewInputs(w.folder)
	scout.scout = w.newSearch(w.decided.given, nil)
	tables, err := scout.readSheet(i, w.survey.Sheets[i])
	for _, in := range tables {
		err = errors.Join(err, in.all(in.table.table.Rows))
	}
	return scout.scout, err
}

// settleReadable settles the size as settleSize does, by the files that can be
// read.
func (w *walk) settleReadable(o Options) {
	readable := *w
	description := *w.survey
	readable.survey = &description
	description.Sheets = nil
	for _, ref := range w.survey.Sheets {
		if sheet.Readable(ref.File, w.inputs.Path(ref.File)) == nil {
			description.Sheets = append(description.Sheets, ref)
		}
	}
	if err := readable.settleSize(o); err != nil { // a file went since: what is read will say so
		readable.held, readable.partRows, readable.windowRows = false, partCaptures, wholeRows
	}
	w.held, w.partRows, w.windowRows = readable.held, readable.partRows, readable.windowRows
}

// Sheets is the number of the survey's sheets, patterns expanded.
func (s *Shared) Sheets() int { return len(s.walk.survey.Sheets) }

// Secret reports whether the survey has sensitive taxa, so that pieces and parts
// must not be stored where others read.
func (s *Shared) Secret() bool { return len(s.walk.sensitive.rules) > 0 }

// InOrder reports whether one machine must judge all parts in their order, with Judge:
// where places are withheld, which takes passes over all captures, and where a
// person decided on cells. Else Infer, Compare and Conclude judge.
func (s *Shared) InOrder() bool { return s.Secret() || len(s.walk.decided.given) > 0 }

// Prepare makes the output folder, which every machine sees under the same path,
// and takes it for this run alone.
func (s *Shared) Prepare(out string) (*output.Folder, error) {
	if err := apart(out, s.walk.folder); err != nil {
		return nil, err
	}
	place, err := output.Prepare(out)
	if err == nil {
		place.Ours = ours
	}
	return place, err
}

// Read reads one sheet and gives its pieces. A sheet that cannot be read is a finding; an error is one of ctx or give.
func (s *Shared) Read(ctx context.Context, i int, give func(Piece) error) error {
	var given error
	hand := func(p Piece) error {
		given = errors.Join(given, give(p))
		return given
	}
	about, err := s.readOnce(ctx, i, 0, s.walk.held, hand)
	if layoutChanged(err) && !s.walk.held {
		if n, counted := size.RowsIn(s.walk.survey.Sheets[i], s.walk.inputs.Path(s.walk.survey.Sheets[i].File), maxHeld); counted == nil && n <= maxHeld {
			about, err = s.readOnce(ctx, i, 1, true, hand)
		}
	}
	if stopped := errors.Join(given, ctx.Err()); stopped != nil {
		return stopped
	}
	if err != nil {
		about = &sheetRead{Attempt: -1, Found: store.PackFindings([]record.Finding{s.unread(i, err)})}
	}
	about.Sheet = i
	data, err := encode(about)
	if err != nil {
		return err
	}
	return give(Piece{Sheet: i, Attempt: about.Attempt, Number: AboutSheet, Data: data})
}

// unread is the finding on a sheet that could not be read. What an error says may
// be what was written, which is nobody's business where places are withheld.
func (s *Shared) unread(i int, err error) record.Finding {
	file := s.walk.survey.Sheets[i].File
	if s.Secret() {
		return sheet.Unread(file, "the file could not be read; spadefoot check says why, if you may see its places")
	}
	return sheet.Unread(file, strings.TrimPrefix(err.Error(), file+": "))
}

// readOnce reads a sheet.
func (s *Shared) readOnce(ctx context.Context, i, attempt int, held bool, give func(Piece) error) (*sheetRead, error) {
	w := *s.walk
	w.ctx, w.held = ctx, held
	w.inputs = output.NewInputs(w.folder)
	w.decided.outcome = w.decided.outcome.Apart()
	var err error
	if w.learned.weighed, err = w.weighSettings(); err != nil {
		return nil, err
	}
	number := 0
	w.intake = &intake{walk: &w, give: func(b batch) error {
		p, err := w.piece(b)
		if err != nil {
			return err
		}
		number++
		return give(Piece{i, attempt, number - 1, len(b.captures), p})
	}}
	tables, err := w.readSheet(i, w.survey.Sheets[i])
	if err != nil {
		return nil, err
	}
	for _, in := range tables {
		if err := in.all(in.table.table.Rows); err != nil {
			return nil, err
		}
	}
	for _, t := range w.laid {
		t.table.Rows = nil
	}
	about := &sheetRead{Attempt: attempt, Counts: w.counts, Tables: sentTables(w.laid), Found: store.PackFindings(w.whole), Inputs: w.inputs.All(), Did: w.decided.outcome.Effects()}
	for _, one := range w.sheets {
		about.Sheets = append(about.Sheets, one.sheet)
	}
	return about, nil
}

// piece weighs the captures of a batch and packs it.
func (w *walk) piece(b batch) ([]byte, error) {
	w.captures, w.findings, w.settled = b.captures, nil, 0
	for _, c := range w.captures {
		keys.NameAfterRow(c)
	}
	w.weigh(w.animals(), w.learned.weighed)
	return encode(captured{store.Pack(b.captures), store.PackFindings(b.found), store.PackFindings(w.findings), store.PackFindings(b.aside)})
}

func (w *walk) writeFindings(to io.Writer) error {
	var failed error
	var text bytes.Buffer
	write := func(out io.Writer) error {
		return errors.Join(findings.EachCSV(out, w.counting(&failed)), failed)
	}
	if r := w.sensitive.result; r == nil || r.Guard == nil {
		return write(to)
	}
	if err := write(&text); err != nil {
		return err
	}
	if err := w.guardFile("findings.csv", bytes.NewReader(text.Bytes())); err != nil {
		return err
	}
	_, err := to.Write(text.Bytes())
	return err
}

// Joined is what is known of all parts so far; later steps know more.
type Joined struct {
	Outline Blocks // headings
	Learned Blocks // of Gather, joined to one
	Matched Blocks // of Match
	Fetched Blocks // of Fetch
}

func (k *Joined) key() [4]uint64 {
	return [4]uint64{k.Outline.Key, k.Learned.Key, k.Matched.Key, k.Fetched.Key}
}

// knowledge is what is worked out of a Joined, each once, when it is asked for first.
type knowledge struct {
	outline func() (*outline, error)
	told    func() (*walk, error) // what reading the sheets showed
	wanted  func() (*wanted, error)
	judged  func() (*basis, error)
}

// wanted are captures that are to be fetched, and animals that remarks name.
type wanted struct {
	ordinals map[int]bool
	asked    func() map[string]recaptures.Seen
}

// basis is what captures are judged by. It is not changed: each step works with a
// copy of its walk and verdicts.
type basis struct {
	*walk   // with what was learnt, and the captures that were fetched
	v       verdicts
	sum     *screen.Summary
	tares   *weigh.Known
	sexes   *infer.Inference // fills sexes in
	quality *qualityJudge
	once    sync.Map // what is worked out once, by the key of what it is worked out of
}

// outline says which pieces make which part, as Run cuts a survey, and what is said
// of the sheets.
type outline struct {
	parts    []int // captures of each
	firsts   []int // ordinal of the first capture of each
	of       map[[3]int]int
	about    []sheetRead
	sheets   [][2]string // files and tabs
	captures int
}
