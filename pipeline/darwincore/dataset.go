package darwincore

import (
	"cmp"
	"fmt"
	"strings"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// Person is a person or an organisation: a family name, an organisation or a
// position must be there.
type Person struct {
	Given        string
	Family       string
	Organisation string
	Position     string
	Email        string
	ORCID        string // bare or as an address
	Country      string // ISO 3166-1 alpha-2 code
	Role         string // for associated parties: what they did
}

// Name is the name that people are called by: "Ada Wren", or the organisation.
func (p Person) Name() string {
	if p.Family != "" {
		return strings.TrimSpace(p.Given + " " + p.Family)
	}
	return cmp.Or(p.Organisation, p.Position)
}

// MediaRights is what holds for all photographs and recordings of a dataset;
// what is not given is not said.
type MediaRights struct {
	Licence string // address, or name of one of terms.Licences
	Creator string
}

// URL is the licence as it is published.
func (m MediaRights) URL() string {
	if l, ok := terms.FindLicence(m.Licence); ok {
		return l.URL
	}
	return m.Licence
}

// text says so in a sentence.
func (m MediaRights) text() string {
	var parts []string
	if m.Creator != "" {
		parts = append(parts, "were taken by "+m.Creator)
	}
	if m.Licence != "" {
		parts = append(parts, "are published under "+m.URL())
	}
	if len(parts) == 0 {
		return ""
	}
	return "Photographs and recordings " + strings.Join(parts, " and ") + "."
}

// Instrument is what a measurement was taken with.
type Instrument struct {
	Name       string
	Kind       string
	Unit       string // UCUM code
	Graduation float64
	Capacity   float64

	Calibration float64 // expanded uncertainty (k = 2)
}

// String describes the instrument: "caliper (dial caliper, graduation 0.1 mm)".
func (i Instrument) String() string {
	var parts []string
	if i.Kind != "" && i.Kind != i.Name {
		parts = append(parts, i.Kind)
	}
	if i.Graduation > 0 {
		parts = append(parts, "graduation "+number(i.Graduation)+" "+i.Unit)
	}
	if i.Capacity > 0 {
		parts = append(parts, "capacity "+number(i.Capacity)+" "+i.Unit)
	}
	if len(parts) == 0 {
		return i.Name
	}
	return fmt.Sprintf("%s (%s)", i.Name, strings.Join(parts, ", "))
}

// Dataset describes what is published, as the survey's configuration says it.
// Coverage and instruments really used are found from the captures.
type Dataset struct {
	Core         string // EventCore, or OccurrenceCore or "" for the usual one
	ID           string // the dataset's identifier; every other identifier depends on it
	Title        string
	Description  string
	Language     string // code of RFC 5646
	Licence      string // name or address of one of terms.Licences
	LicenceOpen  bool   // the owners have not decided on a licence: none is stated
	RightsHolder string
	Country      string
	CountryCode  string // ISO 3166-1 alpha-2
	Place        string // where the survey lies, in words
	Version      string
	Published    string // YYYY-MM-DD or YYYY; the day of the last capture if empty
	URL          string // where the data can be had
	Purpose      string
	Sampling     string // how animals were looked for
	Permits      string
	Ethics       string
	Citation     string
	Funding      string
	Thanks       string
	Keywords     []string
	Quality      []string // steps of quality control, one sentence or more each
	Steps        []Step   // steps of the methods that the captures do not show, before those that they do

	Creators   []Person
	Contacts   []Person // the creators if there are none
	Associates []Person
	Publisher  Person

	Media       MediaRights
	Descriptors tables.Descriptors // of the fields of a data package, as published; our own where there are none
	TypeIDs     map[string]string  // addresses of measurements that the survey defines, by name

	Defaults    map[string]string // terms that hold for every capture
	Instruments []Instrument
}

// Missing names the required parts that are not there, by their place in the
// configuration: dataset.title and so on.
func (d Dataset) Missing() []string {
	var out []string
	for _, p := range []struct{ key, value string }{
		{"dataset.id", d.ID}, {"dataset.title", d.Title},
		{"dataset.description", d.Description}, {"dataset.licence", d.Licence},
	} {
		if strings.TrimSpace(p.value) == "" && !(d.LicenceOpen && p.key == "dataset.licence") {
			out = append(out, p.key)
		}
	}
	if len(d.Creators) == 0 {
		out = append(out, "dataset.creators")
	}
	for _, g := range d.people() {
		for i, p := range g.people {
			if p.Name() == "" {
				out = append(out, fmt.Sprintf("%s[%d].family", g.key, i))
			}
		}
	}
	if d.Publisher != (Person{}) && d.Publisher.Name() == "" {
		out = append(out, "dataset.publisher.organisation")
	}
	return out
}

type group struct {
	key    string
	people []Person
}

// people are the persons of the dataset by their place in the configuration,
// the publisher apart.
func (d Dataset) people() []group {
	return []group{{"dataset.creators", d.Creators}, {"dataset.contacts", d.Contacts}, {"dataset.associates", d.Associates}}
}

// Check finds what prevents publishing: parts that are missing, a
// licence that repositories do not take, an ORCID iD whose check character
// does not fit. File is the configuration that the findings point to.
func (d Dataset) Check(file string) []record.Finding {
	at := record.Address{File: file}
	var out []record.Finding
	for _, key := range d.Missing() {
		out = append(out, record.Finding{Rule: "dataset-part-missing", Level: record.Error, At: at, Field: key,
			Reason: key + " is required to publish and is missing"})
	}
	if d.Licence != "" {
		if _, ok := terms.FindLicence(d.Licence); !ok {
			var names []string
			for _, l := range terms.Licences() {
				names = append(names, l.Name)
			}
			out = append(out, record.Finding{Rule: "licence-not-accepted", Level: record.Error, At: at, Field: "dataset.licence", Value: d.Licence,
				Reason: "repositories accept occurrence data only under " + strings.Join(names, ", ")})
		}
	}
	check := func(key string, p Person) {
		if _, err := terms.ORCID(p.ORCID); err != nil && p.ORCID != "" {
			out = append(out, record.Finding{Rule: "orcid-wrong", Level: record.Error, At: at, Value: p.ORCID,
				Field: key + ".orcid", Reason: err.Error(), Reference: "ISO 7064 MOD 11-2"})
		}
		out = append(out, countryFault(at, key+".country", p.Country)...)
	}
	for _, g := range d.people() {
		for i, p := range g.people {
			check(fmt.Sprintf("%s[%d]", g.key, i), p)
		}
	}
	check("dataset.publisher", d.Publisher)
	out = append(out, countryFault(at, "dataset.countryCode", d.CountryCode)...)
	for term := range d.Defaults {
		if terms.Known(term) {
			continue
		}
		f := record.Finding{Rule: "default-no-term", Level: record.Error, At: at, Field: "defaults." + term, Value: d.Defaults[term],
			Reason: term + " is not a current Darwin Core term"}
		f.Suggestion = terms.Nearest(term)
		out = append(out, f)
	}
	record.SortFindings(out)
	return out
}

// countryFault doubts a code that ISO 3166-1 does not have, and repositories do
// not take.
func countryFault(at record.Address, key, code string) []record.Finding {
	if code == "" || code == schemas.Kosovo || schemas.IsCountryCode(code) {
		return nil
	}
	return []record.Finding{{Rule: "country-code-wrong", Level: record.Error, At: at, Field: key, Value: code,
		Reason: fmt.Sprintf("%q is not a two-letter country code", code), Reference: "ISO 3166-1 alpha-2"}}
}

// IncompleteError says which parts have to be given before the data can be
// published.
type IncompleteError struct{ Findings []record.Finding }

func (e *IncompleteError) Error() string {
	var parts []string
	for _, f := range e.Findings {
		parts = append(parts, f.Field+": "+f.Reason)
	}
	return "the dataset cannot be published: " + strings.Join(parts, "; ")
}

func (d Dataset) instrument(name string) Instrument {
	for _, i := range d.Instruments {
		if i.Name == name {
			return i
		}
	}
	return Instrument{Name: name}
}
