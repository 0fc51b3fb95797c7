package pipeline_test

import (
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
)

const described = `dataset:
  id: https://marrow-creek.invalid/described
  title: Frogs in the hand
  description: Invented.
  licence: CC BY 4.0
  published: "2023-10-01"
  country: Canada
  countryCode: CA
  keywords: [frogs, body mass]
  url: https://marrow-creek.invalid/data
  purpose: To follow the condition of frogs over years.
  funding: Grant 12 of the invented county board.
  thanks: The landowner let us in.
  quality: [Every value was compared with its group., A second person read the sheet.]
  geographicDescription: Wetlands along the invented Marrow Creek
  methods: Two people walked the shore after dark.
  permits: Permit MC-1
  ethics: Held for two minutes at most.
  citation: Varga I (2023) Frogs in the hand.
  creators: [{given: Ines, family: Varga, orcid: 0000-0003-0077-4738, country: CA}]
  contacts: [{position: Data manager, organisation: Marrow Creek Field Station, email: data@marrow-creek.invalid}]
  associates: [{given: Tomasz, family: Okafor, role: field assistant}]
  publisher: {organisation: Marrow Creek Press, country: CA}
instruments: [{name: caliper, kind: dial caliper, unit: mm, graduation: 0.1}, {name: ruler, kind: steel ruler, unit: mm, graduation: 1}]
sheets: [{file: frogs.csv}]
mapping:
  name: the spring sheet
  key: [recordNumber]
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Species, term: scientificName}
    - {heading: Lat, term: decimalLatitude}
    - {heading: Long, term: decimalLongitude}
    - {heading: Country, term: country}
    - {heading: SVL, measurement: snoutVentLength, unit: mm, instrument: caliper}
    - {heading: Tail, measurement: tailLength, unit: mm, instrument: ruler}
`

const describedSheet = "Field No,Date,Species,Lat,Long,Country,SVL\n1,2023-05-01,Rana temporaria,45.41,-76.20,,61\n2,2023-05-09,Rana temporaria,45.42,-76.21,United States,58\n"

func describedRun(t *testing.T, survey string) (string, error) {
	t.Helper()
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", survey)
	put(t, dir, "frogs.csv", describedSheet)
	_, err := pipeline.Run(context.Background(), dir, out, withPackage(t))
	return out, err
}

// texts returns the texts of an XML file by the names of the elements that they
// are in, from the outermost but one.
func texts(t *testing.T, path string) map[string][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string][]string{}
	var at []string
	for d := xml.NewDecoder(f); ; {
		token, err := d.Token()
		if err != nil {
			return out
		}
		switch x := token.(type) {
		case xml.StartElement:
			at = append(at, x.Name.Local)
		case xml.EndElement:
			at = at[:len(at)-1]
		case xml.CharData:
			if s := strings.TrimSpace(string(x)); s != "" {
				p := strings.TrimPrefix(strings.Join(at, "/"), "eml/dataset/")
				out[p] = append(out[p], s)
			}
		}
	}
}

// Everything that survey.yaml says of the data set is in eml.xml, and coverage
// and methods are those of the captures.
func TestMetadata(t *testing.T) {
	out, err := describedRun(t, described)
	if err != nil {
		t.Fatal(err)
	}
	validArchive(t, filepath.Join(out, "darwin-core"))
	got := texts(t, filepath.Join(out, "darwin-core", "eml.xml"))
	for path, want := range map[string][]string{
		"creator/individualName/surName":                    {"Varga"},
		"creator/address/country":                           {"CA"},
		"creator/userId":                                    {"https://orcid.org/0000-0003-0077-4738"},
		"contact/positionName":                              {"Data manager"},
		"associatedParty/role":                              {"field assistant"},
		"publisher/organizationName":                        {"Marrow Creek Press"},
		"keywordSet/keyword":                                {"frogs", "body mass"},
		"distribution/online/url":                           {"https://marrow-creek.invalid/data"},
		"purpose/para":                                      {"To follow the condition of frogs over years."},
		"acknowledgements/para":                             {"The landowner let us in."},
		"project/funding/para":                              {"Grant 12 of the invented county board."},
		"methods/qualityControl/description/para":           {"Every value was compared with its group.", "A second person read the sheet."},
		"methods/sampling/samplingDescription/para":         {"Two people walked the shore after dark."},
		"methods/methodStep/instrumentation":                {"caliper (dial caliper, graduation 0.1 mm)"},
		"coverage/geographicCoverage/geographicDescription": {"Wetlands along the invented Marrow Creek"},
		"coverage/geographicCoverage/boundingCoordinates/westBoundingCoordinate": {"-76.21"},
		"coverage/temporalCoverage/rangeOfDates/endDate/calendarDate":            {"2023-05-09"},
		"licensed/licenseName":        {"Creative Commons Attribution 4.0 International"},
		"additionalInfo/section/para": {"Permit MC-1", "Held for two minutes at most.", "Varga I (2023) Frogs in the hand."},
	} {
		if !slices.Equal(got[path], want) {
			t.Errorf("%s: %q, want %q", path, got[path], want)
		}
	}
	steps := strings.Join(got["methods/methodStep/description/para"], "\n")
	for _, s := range []string{"“the spring sheet”", "“SVL” as snout-vent length in mm with the caliper", "“Country” as country"} {
		if !strings.Contains(steps, s) {
			t.Errorf("the methods do not say %q:\n%s", s, steps)
		}
	}
	if strings.Contains(steps, "Tail") || strings.Contains(steps, "ruler") {
		t.Errorf("the methods tell of a column that is not there:\n%s", steps)
	}
	countries(t, out)
	contributors(t, out)
}

// countries checks that a row which names a country does not get the code of
// the survey's.
func countries(t *testing.T, out string) {
	t.Helper()
	rows := table(t, out, "darwin-core/occurrence.csv")
	if a, b := rows[0], rows[1]; a["country"] != "Canada" || a["countryCode"] != "CA" || b["country"] != "United States" || b["countryCode"] != "" {
		t.Errorf("countries %v and %v", a, b)
	}
}

func contributors(t *testing.T, out string) {
	t.Helper()
	var d struct {
		Homepage     string
		Keywords     []string
		Contributors []struct{ Title, Role string }
	}
	b, err := os.ReadFile(filepath.Join(out, "data-package", "datapackage.json"))
	if err == nil {
		err = json.Unmarshal(b, &d)
	}
	if err != nil || d.Homepage == "" || len(d.Keywords) != 2 || len(d.Contributors) != 4 || d.Contributors[3].Title != "Marrow Creek Press" || d.Contributors[3].Role != "publisher" {
		t.Errorf("%+v, %v", d, err)
	}
}

// A required part that is missing or wrong is named with its line, and nothing
// is written.
func TestUnpublishable(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"  licence: CC BY 4.0\n", "", "survey.yaml, line 1, key dataset.licence: dataset.licence is required"},
		{"licence: CC BY 4.0", "licence: GPL", "survey.yaml, line 5, key dataset.licence: repositories accept"},
		{"description: Invented.", "description: ''", "survey.yaml, line 4, key dataset.description: dataset.description is required"},
		{"0000-0003-0077-4738", "0000-0003-0077-4739", "survey.yaml, line 20, key dataset.creators.0.orcid: "},
		{"countryCode: CA", "countryCode: QQ", `survey.yaml, line 8, key dataset.countryCode: "QQ" is not a two-letter country code`},
		{"country: CA}\ninstruments", "country: XX}\ninstruments", "survey.yaml, line 23, key dataset.publisher.country"},
	} {
		changed := strings.Replace(described, c.old, c.new, 1)
		if changed == described {
			t.Fatalf("the survey holds no %q", c.old)
		}
		out, err := describedRun(t, changed)
		var ms config.Mistakes
		if !errors.As(err, &ms) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want %q", err, c.want)
		}
		if left, _ := os.ReadDir(out); len(left) > 0 {
			t.Errorf("%s: files were written", c.want)
		}
	}
}
