package pipeline

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/prove/causes"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/undecided"
)

// proveAll proves what was published, and adds what is found to the findings.
func (w *walk) proveAll() error {
	w.captures, w.findings, w.settled = nil, nil, 0
	w.verdicts, w.before = verdicts{}, nil // not needed any more
	*w.buffers = [3]store.Buffer{}         // copies of the walk have them too
	w.learned.places, w.learned.tares, w.learned.spots = nil, nil, located.Spots{}
	if err := w.sample.Check(); err != nil {
		return err
	}
	if err := w.prove(); err != nil {
		return err
	}
	w.settle()
	record.SortFindings(w.findings)
	w.whole = append(w.whole, w.findings...)
	return w.judged.Add(w.findings)
}

// prove reads the archive back. What is wrong with it is a fault of this
// program or of the description, and nothing is released.
func (w *walk) prove() error {
	if w.counts.Occurrences != w.counts.Captures {
		return fmt.Errorf("%s went in but %s came out; nothing was released", record.Plural(w.counts.Captures, "capture"), record.Plural(w.counts.Occurrences, "occurrence"))
	}
	if err := w.book.Settle(); err != nil {
		return err
	}
	fs, err := prove.Archive(w.ctx, filepath.Join(w.out, darwincore.Folder), prove.Counts{
		Occurrences: w.counts.Occurrences, Measurements: w.counts.Measurements, Media: w.counts.Media}, prove.Options{TempDir: w.temp})
	if err := w.proved(darwincore.Folder, "the archive", fs, err); err != nil {
		return err
	}
	return w.provePackage()
}

// proved refuses to release what did not pass its proof, and takes over what
// was found where it passed.
func (w *walk) proved(folder, what string, fs []record.Finding, err error) error {
	if refused, ok := errors.AsType[*prove.RefusedError](err); ok {
		lines := []string{what + " does not meet the standard and was not released; correct survey.yaml or the sheets where they say this:"}
		for _, f := range refused.Findings {
			lines = append(lines, fmt.Sprintf("%s: %s: %s", f.At, f.Rule, f.Reason))
		}
		return errors.New(strings.Join(lines, "\n"))
	}
	if err != nil {
		return err
	}
	w.find(translate(folder, slices.DeleteFunc(fs, w.foundInSheets))...)
	return nil
}

// foundInSheets reports whether a finding on the archive says what a quality test has
// found in the sheets: that two terms of a row do not go together.
func (w *walk) foundInSheets(f record.Finding) bool {
	_, tested := w.survey.Level("quality-validation", record.Warning)
	return tested && f.Rule == "values-disagree" && slices.Contains([]string{"year", "month", "day", "minimumElevationInMeters", "minimumDepthInMeters"}, f.Field)
}

// translate lets a finding on what is published speak of the file in its
// folder.
func translate(folder string, fs []record.Finding) []record.Finding {
	for i := range fs {
		if !strings.HasPrefix(fs[i].At.File, folder) {
			fs[i].At.File = folder + "/" + fs[i].At.File
		}
	}
	return fs
}

// provePackage reads the data package back, as prove does the archive.
func (w *walk) provePackage() error {
	if w.counts.Package == nil {
		return nil
	}
	if err := w.counts.samePackage(); err != nil {
		return err
	}
	if w.survey.Archive.Descriptors == "" {
		w.find(record.Finding{Rule: "descriptors-own", Level: record.Note, At: record.Address{File: survey.FileName}, Field: "archive.descriptors",
			Reason:    "the fields of the data package are described in Spadefoot's own words, but the guide requires those of the published table schemas; if you have a copy of these, use archive: {descriptors: FOLDER}",
			Reference: "Darwin Core Data Package guide 2026-05-26, section 3.3"})
	}
	fs, err := prove.Package(w.ctx, filepath.Join(w.out, darwincore.PackageFolder), w.counts.Package, prove.Options{TempDir: w.temp, Descriptors: w.tables.published()})
	return w.proved(darwincore.PackageFolder, "the data package", fs, err)
}

// samePackage refuses a package that lacks captures or measurements which the
// archive holds. Each measurement is an assertion; there are others beside them.
func (c *Counts) samePackage() error {
	for _, one := range []struct {
		table string
		want  int
	}{{"occurrence", c.Captures}, {"occurrence-assertion", c.Measurements}} {
		if n := c.Package[one.table]; n < one.want {
			return fmt.Errorf("the data package has %d rows in %s.csv but needs at least %d, so nothing was released; this is a fault of the program, please report it", n, one.table, one.want)
		}
	}
	return nil
}

// outlived are outputs of an earlier run in a folder that this run did not
// make and that would contradict what it made: a data package of other
// captures.
func outlived(dir string, written []string) []string {
	if slices.Contains(written, darwincore.PackageFolder) {
		return nil
	}
	if _, err := os.Stat(filepath.Join(dir, darwincore.PackageFolder, darwincore.DescriptorFile)); err != nil {
		return nil
	}
	return []string{darwincore.PackageFolder}
}

// rowJudge is what one goroutine judges rows with.
type rowJudge struct {
	tests *quality.Examination
	rows  *darwincore.RowWriter
	texts []string
	says  quality.Record // the row that was made last
	fit   prove.Fitness
}

func (w *walk) qualityJudge() *qualityJudge {
	j := &qualityJudge{w: w, rows: darwincore.NewRowBuilder(w.dataset(), nil).Judged(),
		tests: quality.NewExaminer(quality.Params{Today: w.today}), Gatherer: causes.New()}
	j.slots = darwincore.Slots(j.tests.Terms())
	j.idle.New = func() any {
		rows := j.rows.RowWriter()
		return &rowJudge{tests: j.tests.Examination(), rows: rows, says: rows.Get}
	}
	return j
}

// Add judges a part. The order of the captures says which cell a cause is found
// at. Where the parts before showed more causes than are kept, Add gives the
// findings of those that came last and forgets them: if they show again, they
// are findings of their own.
func (j *qualityJudge) Add(part []*record.Capture) []record.Finding {
	early := j.Spill()
	_ = parallel.InOrder(slices.Values(part), j.judge, func(b judgedRows) error {
		for _, d := range b.doubts {
			j.Gatherer.Add(d)
		}
		if j.columns != nil {
			j.columns.join(&b.columns)
		}
		j.fit = j.fit && !b.unfit
		return nil
	})
	return early
}

// Take does what Add does, with what was doubted of a part elsewhere.
func (j *qualityJudge) Take(found []record.Finding, from []byte) []record.Finding {
	early := j.Spill()
	for i, f := range found {
		j.Gatherer.Add(causes.Marked(f, from[i]))
	}
	return early
}

// judgedRows is what came of some rows.
type judgedRows struct {
	doubts  []causes.Doubt
	columns columns
	unfit   bool // some terms cannot hold their values
}

// judge returns what is doubted of some captures.
func (j *qualityJudge) judge(captures []*record.Capture) (out judgedRows) {
	one := j.idle.Get().(*rowJudge)
	defer j.idle.Put(one)
	defer one.rows.Rest()
	for _, c := range captures {
		line := one.rows.Occurrence(c)
		if j.columns != nil {
			out.columns.note(one.rows, c)
		}
		for _, f := range one.unfitValues(c) {
			out.unfit = true
			from := causes.Where(c.Value(f.Field), c)
			switch from {
			case causes.Description:
				f.At = record.Address{File: survey.FileName, Row: j.w.survey.Line(j.w.keyOf(f.Field))}
			case causes.Derived:
				f.At = c.Address()
			}
			out.doubts = append(out.doubts, causes.Doubt{Finding: f, From: from, OwnRow: c.Row == f.At.Row})
			if j.columns != nil {
				out.columns.archive.Add("dynamicProperties")
			}
		}
		one.texts = line.Texts(one.texts[:0], j.slots)
		for _, f := range one.tests.FindingsOf(one.texts, one.says, c.Address()) {
			if strings.EqualFold(f.Suggestion, f.Value) {
				continue // "male" for "Male": Darwin Core's own examples are in lower case
			}
			f.Capture = c.Key
			f, from := j.w.originOf(f, c, one.says)
			out.doubts = append(out.doubts, causes.Doubt{Finding: f, From: from, OwnRow: c.Row == f.At.Row})
		}
	}
	return out
}

// unfitValues finds the values that their terms cannot hold.
func (j *rowJudge) unfitValues(c *record.Capture) (out []record.Finding) {
	for _, v := range j.fit.Unfit(c) {
		out = append(out, record.Finding{Rule: undecided.Unfit, Level: record.Error, At: v.From(), Capture: c.Key, Field: v.Term, Value: cmp.Or(v.Verbatim, v.Text),
			Reason: fmt.Sprintf("as %s %s; the value is left out", v.Term, v.Why)})
	}
	return out
}

// note adds the columns that captures need.
func (j *qualityJudge) note(columns *columns, captures []*record.Capture) {
	rows := j.rows.RowWriter()
	for _, c := range captures {
		rows.Occurrence(c)
		columns.note(rows, c)
	}
}

// note adds the columns that a capture needs, whose row was made last.
func (cs *columns) note(rows *darwincore.RowWriter, c *record.Capture) {
	rows.Note(&cs.archive, c)
	cs.table.Add(c)
}

func (cs *columns) join(o *columns) {
	cs.archive.Join(&o.archive)
	cs.table.Join(&o.table)
}

// notYetSaid leaves out what was said already of cells whose date or position is
// doubted.
func (w *walk) notYetSaid(fs []record.Finding) []record.Finding {
	doubted := map[record.Address]bool{}
	noteDoubtedCells(doubted, w.findings)
	return slices.DeleteFunc(fs, func(f record.Finding) bool { return alreadySaid(f, doubted) })
}

// alreadySaid reports whether a quality test says of a doubted date or position what
// was said already: a date outside the survey is out of the range of years as well, and
// a place far off is in another country. That the year, the month or the day of a row
// is not that of its date is another doubt.
func alreadySaid(f record.Finding, doubted map[record.Address]bool) bool {
	return doubted[f.At] && f.Reference != "VALIDATION_EVENT_CONSISTENT"
}

// noteDoubtedCells adds the cells whose date or position is doubted.
func noteDoubtedCells(said map[record.Address]bool, fs []record.Finding) {
	for i := range fs {
		f := &fs[i]
		if f.Level >= record.Warning && (strings.HasPrefix(f.Rule, "date-") || strings.HasPrefix(f.Rule, "position-")) {
			said[f.At.Clone()] = true
		}
	}
}

// originOf moves a finding to its cause: of the terms that the test acts upon, the
// one that is nearest to the row, since what holds for all rows is less likely at
// fault.
func (w *walk) originOf(f record.Finding, c *record.Capture, says quality.Record) (record.Finding, causes.Origin) {
	acted := []string{f.Field}
	if t, ok := quality.Find(f.Reference); ok {
		acted = t.ActedUpon
	}
	best := causes.Description + 1
	for _, prefixed := range acted {
		term := prefixed[strings.Index(prefixed, ":")+1:]
		text := says(term)
		if quality.Empty(text) {
			continue
		}
		v := c.Value(term)
		from := causes.Where(v, c)
		if from >= best {
			continue
		}
		best = from
		f.Field, f.Value = term, text
		switch from {
		case causes.OwnCell, causes.OtherTable:
			f.At = v.From()
			if v.Verbatim != "" {
				f.Value = v.Verbatim
			}
		case causes.Derived:
			f.At = c.Address()
		case causes.Description:
			f.At = record.Address{File: survey.FileName, Row: w.survey.Line(w.keyOf(term))}
		}
	}
	return f, best
}

// datasetKeys are the keys that a term has in the description of the data set.
var datasetKeys = map[string]string{
	"license": "dataset.licence", "rightsHolder": "dataset.rightsHolder", "language": "dataset.language", "datasetID": "dataset.id",
	"datasetName": "dataset.title", "country": "dataset.country", "countryCode": "dataset.countryCode", "institutionCode": "dataset.institutionCode",
}

// keyOf is the key of survey.yaml that a term comes from.
func (w *walk) keyOf(term string) string {
	if _, ok := w.survey.Defaults[term]; ok {
		return "defaults." + term
	}
	for i, s := range w.survey.Sheets {
		if _, ok := s.Defaults[term]; ok {
			return fmt.Sprintf("sheets.%d.defaults.%s", i, term)
		}
	}
	return datasetKeys[term]
}
