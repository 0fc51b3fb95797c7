package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/agreement"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/schemas"
)

// Observed is what the comparison of observers found.
type Observed struct {
	Survey   *survey.Survey
	Captures int
	observers.Result
	Findings []record.Finding // on the readings: of the way and of the comparison
	Written  []string
}

// Observe walks the stages up to weighing, compares the observers and writes
// below out, all or nothing. Where there is nothing to compare it writes that,
// with a finding that says what is missing.
func Observe(ctx context.Context, folder, out string, o Options) (_ *Observed, err error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	if err := apart(out, folder); err != nil {
		return nil, err
	}
	settings, err := w.observerSettings()
	if err != nil {
		return nil, err
	}
	known, err := w.knownSizes()
	if err != nil {
		return nil, err
	}
	place, err := output.Prepare(out)
	if err != nil {
		return nil, err
	}
	defer place.Discard(&err)
	defer w.close(&err)
	w.out, w.temp = place.Partial, place.Temp
	compared := &Observed{Survey: w.survey}
	stages := []stage{judged[0], {"compare", func(w *walk) (err error) {
		compared.Result, err = w.compare(known, settings)
		return err
	}}, {"withhold", (*walk).withhold}}
	if err := w.walk(ctx, o, stages); err != nil {
		return nil, err
	}
	compared.Captures = w.counts.Captures
	if compared.Findings, err = w.aboutReadings(); err != nil {
		return nil, err
	}
	if err := w.reportObservers(compared, settings); err != nil {
		return nil, err
	}
	if err := w.guard(); err != nil {
		return nil, err
	}
	if err := w.unchanged(); err != nil {
		return nil, err
	}
	if err := w.spareOutputs(out); err != nil {
		return nil, err
	}
	if err := place.Commit(w.written); err != nil {
		return nil, err
	}
	compared.Written = w.written
	return compared, nil
}

// observerSettings lays rules.observers over the defaults. Lines of the survey
// replace the line that is usual, unless none of them is for all measurements.
func (w *walk) observerSettings() (observers.Settings, error) {
	usual := observers.Defaults()
	settings := usual
	settings.Lines = nil
	if err := decode(w.survey.Rules.Observers, &settings, "rules.observers"); err != nil {
		return settings, err
	}
	if !slices.ContainsFunc(settings.Lines, func(l observers.Line) bool { return l.Measurement == "" }) {
		settings.Lines = append(settings.Lines, usual.Lines...)
	}
	return settings, nil
}

// knownSizes reads the table of known sizes and brings each to the unit that
// its measurement is published in.
func (w *walk) knownSizes() ([]observers.Known, error) {
	name := w.survey.Tables.Known
	if name == "" {
		return nil, nil
	}
	var known []observers.Known
	err := w.loadTable(name, func(r io.Reader) (err error) {
		if known, err = observers.ReadKnown(r); err != nil {
			return err
		}
		for i := range known {
			if err := inOwnUnit(&known[i], w.survey.Measures()); err != nil {
				return fmt.Errorf("%s, line %d%w", name, known[i].Line, err)
			}
		}
		return nil
	})
	return known, err
}

// inOwnUnit settles the names of measurement and unit, and converts the value.
// The error begins with the column.
func inOwnUnit(k *observers.Known, measures *vocabulary.Measures) error {
	m, ok := measures.Find(k.Measurement)
	if !ok {
		return unknownWord("measurement", k.Measurement, config.Nearest(k.Measurement, measures.Names()))
	}
	unit, ok := quantity.FindUnit(k.Unit)
	if !ok {
		return unknownWord("unit", k.Unit, "")
	}
	factor, ok := quantity.Factor(unit, m.Unit)
	if !ok {
		return fmt.Errorf(", column unit: found %q; %s is measured in %s", k.Unit, m.Name, m.Unit)
	}
	k.Measurement, k.Unit = m.Name, m.Unit
	if unit != m.Unit {
		f, _ := factor.Float64()
		k.Value *= f
	}
	return nil
}

func unknownWord(column, word, nearest string) error {
	s := fmt.Sprintf(", column %s: found %q, which is not known here", column, word)
	if nearest != "" {
		s += fmt.Sprintf("; did you mean %q?", nearest)
	}
	return errors.New(s)
}

// compare runs the comparison and takes its findings to the others.
func (w *walk) compare(known []observers.Known, settings observers.Settings) (observers.Result, error) {
	g, err := observers.Begin(known, settings)
	if err != nil {
		return observers.Result{}, &CallError{Reason: survey.FileName + ", key rules.observers: " + err.Error()}
	}
	err = w.eachPart(nil, func(i int) error {
		g.Add(w.animals())
		heard, err := w.fromReading.Run(i)
		return errors.Join(err, w.put(i, heard))
	})
	if err != nil {
		return observers.Result{}, err
	}
	result := g.Result()
	for i := range result.Findings {
		f := &result.Findings[i]
		switch {
		case f.At.File != "":
		case f.Rule == "known-size-unused":
			f.At.File = w.survey.Tables.Known
			for j := range f.Also {
				f.Also[j].File = f.At.File
			}
		default:
			f.At.File = survey.FileName
		}
	}
	w.captures, w.findings, w.settled = nil, append(w.whole, result.Findings...), 0
	w.settle()
	record.SortFindings(w.findings)
	w.whole, w.derived, w.verdicts.quality = w.findings, true, w.qualityJudge()
	return result, w.judged.Add(w.whole)
}

// aboutReadings keeps the findings that bear on the comparison: its own first,
// then those of measurements and of how the sheets were read. What is doubtful
// for publishing only is for check to say.
func (w *walk) aboutReadings() ([]record.Finding, error) {
	bearing, own := map[string]bool{}, map[string]bool{}
	for _, r := range schemas.RuleOf() {
		for s := range strings.SplitSeq(r.Stage, ", ") {
			own[r.Code] = own[r.Code] || s == "observers"
			bearing[r.Code] = bearing[r.Code] || slices.Contains([]string{"sheet", "lay out", "map", "weigh"}, s)
		}
	}
	bearing["key-missing"], bearing["key-repeated"] = false, false // identifiers are for publishing
	var first, rest []record.Finding
	for f, err := range w.judged.All() {
		if err != nil {
			return nil, err
		}
		measured := w.survey.Measures().Has(f.Field)
		switch {
		case own[f.Rule]:
			first = append(first, f)
		case measured || bearing[f.Rule]:
			rest = append(rest, f)
		}
	}
	record.SortFindings(first)
	record.SortFindings(rest)
	sorting.StableFunc(first, func(a, b record.Finding) int { return leading(a) - leading(b) })
	return append(first, rest...), nil
}

// leading puts what keeps everybody from a verdict before all else.
func leading(f record.Finding) int {
	if f.Rule == "nothing-to-compare" {
		return 0
	}
	return 1
}

// reportObservers writes the tables and the page into the folder of prepared
// files.
func (w *walk) reportObservers(c *Observed, settings observers.Settings) error {
	r := agreement.Report{Title: w.survey.Dataset.Title, Dataset: w.survey.Dataset.ID, Version: w.version, About: w.about(),
		Captures: c.Captures, Result: c.Result, Settings: settings, Findings: c.Findings, Inputs: w.inputNotes(), Measure: w.measure, Order: w.survey.Measures().Sort}
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"observers.csv", r.CSV}, {"agreement.csv", r.AgreementCSV}, {"observers.json", r.JSON}, {"observers.html", r.HTML},
	} {
		if err := output.WriteFile(filepath.Join(w.out, f.name), f.write); err != nil {
			return &OutputError{Path: f.name, Err: err}
		}
		w.written = append(w.written, f.name)
	}
	return nil
}
