package pipeline

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/withhold"
)

// dataset is the survey's description as the archive needs it.
func (w *way) dataset() darwincore.Dataset {
	s := w.survey
	d := darwincore.Dataset{
		ID: s.Dataset.ID, Title: s.Dataset.Title, Description: s.Dataset.Description, Language: s.Dataset.Language,
		Licence: s.Dataset.Licence, RightsHolder: s.Dataset.RightsHolder, Published: s.Dataset.Published,
		Permits: s.Dataset.Permits, Ethics: s.Dataset.Ethics, Citation: s.Dataset.Citation, Sampling: s.Dataset.Methods,
		Version: s.Dataset.Published, Defaults: map[string]string{},
		Country: s.Dataset.Country, CountryCode: s.Dataset.CountryCode, Place: s.Dataset.GeographicDescription,
		URL: s.Dataset.URL, Purpose: s.Dataset.Purpose, Funding: s.Dataset.Funding, Thanks: s.Dataset.Thanks,
		Keywords: s.Dataset.Keywords, Quality: s.Dataset.Quality, Publisher: person(s.Dataset.Publisher), Steps: w.mappingSteps(),
	}
	for _, g := range []struct {
		to   *[]darwincore.Person
		from []survey.Person
	}{{&d.Creators, s.Dataset.Creators}, {&d.Contacts, s.Dataset.Contacts}, {&d.Associates, s.Dataset.Associates}} {
		for _, p := range g.from {
			*g.to = append(*g.to, person(p))
		}
	}
	for _, in := range s.Instruments {
		d.Instruments = append(d.Instruments, darwincore.Instrument(in))
	}
	for term, v := range s.Defaults {
		if w.sensitive.file == "" || withhold.Keeps(term) { // else each capture has it from normalise, unless it is withheld
			d.Defaults[term] = fmt.Sprint(v)
		}
	}
	if s.Dataset.InstitutionCode != "" {
		d.Defaults["institutionCode"] = s.Dataset.InstitutionCode
	}
	return d
}

func person(p survey.Person) darwincore.Person {
	return darwincore.Person{Given: p.Given, Family: p.Family, Organisation: p.Organisation,
		Position: p.Position, Email: p.Email, ORCID: p.ORCID, Country: p.Country, Role: p.Role}
}

// publishable refuses a description with a required part missing before any
// work is done.
func (w *way) publishable() error {
	var ms config.Mistakes
	for _, f := range w.dataset().Check(survey.FileName) {
		m := w.survey.Place(f.Field, f.Reason)
		m.Nearest = f.Suggestion
		ms = append(ms, m)
	}
	if len(ms) == 0 {
		return nil
	}
	slices.SortStableFunc(ms, func(a, b config.Mistake) int { return a.Line - b.Line })
	return ms
}

func (w *way) identifier(key string) string { return darwincore.OccurrenceID(w.survey.Dataset.ID, key) }

func label(name string) string {
	byName, _ := measurements()
	return byName[name].Label
}

// doubts writes beside every reading that is in doubt that it is, so that the
// doubt travels with the value into the archive.
func (w *way) doubts(more ...record.Finding) {
	said := map[record.Address]string{}
	for _, f := range slices.Concat(w.findings, more) {
		if f.Level < record.Warning || f.At.Column == 0 || f.Capture == "" {
			continue
		}
		for _, at := range append([]record.Address{f.At}, f.Also...) {
			if said[at] == "" {
				said[at] = "in doubt: " + report.Short(f.Reason)
			}
		}
	}
	for _, c := range w.captures {
		for i := range c.Readings {
			r := &c.Readings[i]
			if s := said[r.From]; s != "" && !strings.Contains(r.Remark, s) {
				r.Remark = strings.TrimPrefix(r.Remark+"; "+s, "; ")
			}
		}
	}
}

// standardise writes the archive into the folder of prepared files, and the
// data package where the survey asks for one.
func (w *way) standardise() error {
	w.doubts()
	w.linkRecaptures()
	counts, err := darwincore.WriteArchive(w.out, w.dataset(), label, slices.Values(w.captures))
	if err != nil {
		return w.archiveError(err)
	}
	w.counts.Occurrences, w.counts.Measurements, w.counts.Media = counts.Occurrences, counts.Measurements, counts.Media
	w.written = append(w.written, darwincore.Folder, darwincore.Zip)
	return w.writePackage()
}

// proveAll proves what was published, and holds a sample of the captures that it
// was made from against their schema.
func (w *way) proveAll() error {
	var s sample
	for _, c := range w.captures {
		if err := s.add(c); err != nil {
			return err
		}
	}
	if err := s.check(); err != nil {
		return err
	}
	return w.prove()
}

// prove reads the archive back. What is wrong with it is a fault of this
// program or of the description, and nothing is released.
func (w *way) prove() error {
	if w.counts.Occurrences != w.counts.Captures {
		return fmt.Errorf("%d captures went in and %d occurrences came out; nothing was released", w.counts.Captures, w.counts.Occurrences)
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
func (w *way) proved(folder, what string, fs []record.Finding, err error) error {
	if err != nil {
		var lines []string
		for _, f := range fs {
			lines = append(lines, fmt.Sprintf("%s: %s: %s", f.At, f.Rule, f.Reason))
		}
		return fmt.Errorf("%s does not hold what the standard asks for and was not released: %w\n%s", what, err, strings.Join(lines, "\n"))
	}
	w.find(translate(folder, fs)...)
	return nil
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

// report writes the findings and the tables for people.
func (w *way) report() error {
	record.SortFindings(w.findings)
	w.tally = TallyOf(w.findings)
	page := w.page()
	files := []struct {
		name  string
		write func(io.Writer) error
	}{
		{"findings.csv", func(o io.Writer) error { return report.FindingsCSV(o, w.findings) }},
		{"findings.json", func(o io.Writer) error { return report.FindingsJSON(o, w.findings) }},
		{"captures.csv", func(o io.Writer) error {
			return report.CapturesCSV(o, w.captures, report.CountByCapture(slices.Values(w.findings)), termOrder, measurementOrder)
		}},
		{"run.json", func(o io.Writer) error { return w.writeRun(o) }},
		{"report.html", func(o io.Writer) error { return report.HTML(o, page) }},
	}
	var group errgroup.Group // each reads what is there and writes its own file
	for _, f := range files {
		w.written = append(w.written, f.name)
		group.Go(func() error {
			if err := output.WriteFile(filepath.Join(w.out, f.name), f.write); err != nil {
				return &OutputError{Path: f.name, Err: err}
			}
			return nil
		})
	}
	return group.Wait()
}

// termOrder puts terms into the order of the published table.
func termOrder(names []string) []string {
	rank := func(n string) int {
		if t, ok := terms.Lookup(n); ok {
			return t.Order
		}
		return 1 << 20
	}
	slices.SortFunc(names, func(a, b string) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return names
}

// measurementOrder puts measurements into the order of the vocabulary.
func measurementOrder(names []string) []string {
	_, all := measurements()
	slices.SortFunc(names, func(a, b string) int {
		if d := slices.Index(all, a) - slices.Index(all, b); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return names
}
