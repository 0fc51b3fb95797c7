package pipeline

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/withhold"
)

// dataset is the survey's description as the archive needs it.
func (w *walk) dataset() darwincore.Dataset {
	s := w.survey
	licence, open := s.Dataset.Licence, s.Dataset.Licence == survey.NoLicence
	if open {
		licence = ""
	}
	d := darwincore.Dataset{
		Core: s.Archive.Core, ID: s.Dataset.ID, Title: s.Dataset.Title, Description: s.Dataset.Description, Language: s.Dataset.Language,
		Licence: licence, LicenceOpen: open, RightsHolder: s.Dataset.RightsHolder, Published: s.Dataset.Published,
		Permits: s.Dataset.Permits, Ethics: s.Dataset.Ethics, Citation: s.Dataset.Citation, Sampling: s.Dataset.Methods,
		Version: s.Dataset.Published, Defaults: map[string]string{},
		Country: s.Dataset.Country, CountryCode: s.Dataset.CountryCode, Place: s.Dataset.GeographicDescription,
		URL: s.Dataset.URL, Purpose: s.Dataset.Purpose, Funding: s.Dataset.Funding, Thanks: s.Dataset.Thanks,
		Keywords: s.Dataset.Keywords, Quality: s.Dataset.Quality, Publisher: person(s.Dataset.Publisher), Steps: w.methods(),
		Media: darwincore.MediaRights{Licence: s.Dataset.Media.Licence, Creator: s.Dataset.Media.Creator}, TypeIDs: map[string]string{}, Descriptors: w.tables.published(),
	}
	for _, m := range s.Measurements {
		d.TypeIDs[m.Name] = m.IRI
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
func (w *walk) publishable() error {
	var ms config.Mistakes
	for _, f := range w.dataset().Check(survey.FileName) {
		m := w.survey.Place(f.Field, f.Reason)
		m.Nearest = f.Suggestion
		ms = append(ms, m)
	}
	if len(ms) == 0 {
		return nil
	}
	sorting.StableFunc(ms, func(a, b config.Mistake) int { return a.Line - b.Line })
	return ms
}

func (w *walk) identifier(key string) string {
	return darwincore.OccurrenceID(w.survey.Dataset.ID, key)
}

func (w *walk) label(name string) string { return w.survey.Measures().Get(name).Label }

// methods are the steps that the walk knows of; how the masses came about the
// archive learns from the captures.
func (w *walk) methods() []darwincore.Step {
	steps := w.mappingSteps()
	if w.computed != "" {
		steps = append(steps, darwincore.Step{Text: w.computed})
	}
	return steps
}

// mappingSteps describes, for the methods of the data set, how the columns of
// the sheets were read: one step for each mapping that was really used, with
// the headings that were really there.
func (w *walk) mappingSteps() []darwincore.Step {
	type use struct {
		m       *mapping.Mapping
		sheets  []string
		columns []string
	}
	var uses []*use
	for _, t := range w.laid {
		m := w.survey.Sheets[t.ref].Map
		i := slices.IndexFunc(uses, func(u *use) bool { return u.m == m })
		if i < 0 {
			i = len(uses)
			uses = append(uses, &use{m: m})
		}
		u := uses[i]
		u.sheets = appendNew(u.sheets, record.Address{File: t.table.File, Sheet: t.table.Sheet}.String())
		for _, c := range t.table.Columns {
			if p := w.columnPhrase(c, w.survey.Sheets[t.ref].Weighing.Way); p != "" {
				u.columns = appendNew(u.columns, p)
			}
		}
	}
	var out []darwincore.Step
	for _, u := range uses {
		if len(u.columns) == 0 {
			continue
		}
		name := ""
		if u.m.Name != "" {
			name = fmt.Sprintf(", by the mapping “%s”", u.m.Name)
		}
		out = append(out, darwincore.Step{Text: fmt.Sprintf("Field sheets were read by their headings (%s)%s: %s.",
			strings.Join(u.sheets, "; "), name, strings.Join(u.columns, "; "))})
	}
	for _, m := range w.survey.Measures().Own() {
		out = append(out, darwincore.Step{Text: fmt.Sprintf("The measurement “%s”, in %s: %s", m.Label, m.Unit, m.Definition)})
	}
	if known := w.repeatSources(); len(known) > 0 {
		out = append(out, darwincore.Step{Text: "Repeatability, as the standard deviation of one person's repeats on one animal, was taken as " + strings.Join(known, "; ") + "."})
	}
	return out
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// columnPhrase says what a column was read as; "" for one that nobody mapped.
func (w *walk) columnPhrase(c record.Column, way record.WeighWay) string {
	m := c.Meaning
	what := ""
	switch m.Role {
	case record.Term:
		what = m.Term
	case record.Measurement:
		what = m.Measurement
		if l := w.label(m.Measurement); l != "" {
			what = l
		}
	case record.WeighPart:
		what = "weighing, " + m.Part
		if m.Part == record.Net && (way == "" || way == record.AsWritten) {
			what = "mass of the animal"
		}
	case record.NameColumn, record.ValueColumn, record.UnitColumn:
		what = meaningWords(m)
	case record.SetAside:
		return fmt.Sprintf("“%s” left out (%s)", c.Heading, m.Reason)
	}
	if what == "" {
		return ""
	}
	if m.Unit != "" {
		what += " in " + m.Unit
		if m.Guessed {
			what += " (guessed)"
		}
	}
	if m.Instrument != "" {
		what += " with the " + m.Instrument
	}
	return fmt.Sprintf("“%s” as %s", c.Heading, what)
}
