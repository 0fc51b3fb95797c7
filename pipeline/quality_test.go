package pipeline_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

const judgedSurvey = `dataset:
  id: https://marrow-creek.invalid/judged
  title: Judged
  description: Invented.
  licence: CC0 1.0
  country: Canada
  countryCode: CA
  creators: [{given: Ines, family: Varga}]
defaults:
  stateProvince: Ontarioo
sheets: [{file: frogs.csv}]
tables: {sites: sites.csv}
mapping:
  key: [recordNumber]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Site, term: locality}
    - {heading: Lat, term: decimalLatitude}
    - {heading: Long, term: decimalLongitude}
    - {heading: Class, term: kingdom}
    - {heading: Species, term: scientificName}
`

// The quality tests judge the rows as they will be published. What survey.yaml
// says of every row is one finding at its line; what a cell says against it is
// a finding at the cell; what many cells say is one finding that lists them.
func TestQualityJudgesWhatIsPublished(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "survey.yaml", judgedSurvey)
	put(t, dir, "sites.csv", "site,latitude,longitude,country\nPond,45.41,-76.20,Canadia\n")
	put(t, dir, "frogs.csv", "No,Date,Site,Lat,Long,Class,Species\n"+
		"1,2023-05-01,,45.41,-76.20,Animals,Rana temporaria\n"+
		"2,2023-05-01,,45.41,76.20,Animals,Rana temporaria\n"+
		"3,2023-05-02,Pond,,,Animals,Rana temporaria\n"+
		"4,2023-05-03,Pond,,,,Rana temporaria\n")
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	byTest := map[string][]record.Finding{}
	for _, f := range r.Findings {
		if strings.HasPrefix(f.Rule, "quality-") {
			for _, label := range strings.Split(f.Reference, ", ") {
				byTest[label] = append(byTest[label], f)
			}
		}
	}
	at := func(label string, want ...string) {
		t.Helper()
		var got []string
		for _, f := range byTest[label] {
			got = append(got, f.At.String()+" "+f.Value)
		}
		if strings.Join(got, "; ") != strings.Join(want, "; ") {
			t.Errorf("%s: found at %q, want %q", label, got, want)
		}
	}
	at("VALIDATION_STATEPROVINCE_FOUND", "survey.yaml, row 10 Ontarioo")
	at("VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT") // said already, with what it probably was:
	if !slices.ContainsFunc(r.Findings, func(f record.Finding) bool {
		return f.Rule == "position-sign" && f.At.String() == "frogs.csv, D3" && strings.Contains(f.Suggestion, "-76.20")
	}) {
		t.Error("the lost sign of row 3 was not found")
	}
	at("VALIDATION_KINGDOM_FOUND", "frogs.csv, F2 Animals")
	at("VALIDATION_LICENSE_STANDARD")
	at("VALIDATION_COUNTRY_FOUND", "sites.csv, row 2 Canadia")
	if f := byTest["VALIDATION_KINGDOM_FOUND"]; len(f) == 1 && (len(f[0].Also) != 2 || !strings.HasSuffix(f[0].Reason, "; 3 cells in all")) {
		t.Errorf("the cells with one cause are %+v", f[0])
	}
	if f := byTest["VALIDATION_STATEPROVINCE_FOUND"]; len(f) == 1 && (f[0].Capture != "" || !strings.HasSuffix(f[0].Reason, "; 4 captures have it")) {
		t.Errorf("a default of all captures is %+v", f[0])
	}
	if f := byTest["VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT"]; len(f) == 1 && (f[0].Capture != "2" || !strings.Contains(f[0].Suggestion, "-76.20") || f[0].Level != record.Warning) {
		t.Errorf("the lost sign is %+v", f[0])
	}
}
