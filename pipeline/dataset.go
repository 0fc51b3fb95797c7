package pipeline

import (
	"fmt"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore"
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
		Keywords: s.Dataset.Keywords, Quality: s.Dataset.Quality, Publisher: person(s.Dataset.Publisher), Steps: w.mappingSteps(),
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
