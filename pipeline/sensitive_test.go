package pipeline_test

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"html"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/report/findings"
)

// outputs returns every file below a folder, and every file in its archives.
func outputs(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		out[name] = string(b)
		if filepath.Ext(name) != ".zip" {
			return nil
		}
		z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			return err
		}
		for _, f := range z.File {
			r, err := f.Open()
			if err != nil {
				return err
			}
			text, err := io.ReadAll(r)
			if err != nil {
				return err
			}
			out[name+"/"+f.Name] = string(text)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// tells lists the texts that are in an output, case apart, as they are or
// written as in HTML.
func tells(files map[string]string, secrets []string) []string {
	var out []string
	for name, text := range files {
		plain := strings.ToLower(text)
		unescaped := strings.ToLower(html.UnescapeString(text))
		for _, s := range secrets {
			if s = strings.ToLower(s); strings.Contains(plain, s) || strings.Contains(unescaped, s) {
				out = append(out, name+" tells "+s)
			}
		}
	}
	slices.Sort(out)
	return out
}

const allSensitive = "taxon,grid,reason\nRanidae,0.1,invented for the test\nBufonidae,0.1,invented for the test\n"

func sensitiveDemo(t *testing.T, more map[string]string) string {
	t.Helper()
	dir := demoCopy(t, more)
	path := filepath.Join(dir, "survey.yaml")
	write(t, path, strings.Replace(read(t, path), "  sites: sites.csv\n", "  sites: sites.csv\n  sensitive: sensitive.csv\n", 1))
	return dir
}

// With every taxon of the demo sensitive, no byte of any output has a place.
func TestNoOutputTellsAPlaceOfTheDemo(t *testing.T) {
	dir, out := sensitiveDemo(t, map[string]string{"sensitive.csv": allSensitive, "remedies.csv": decided}), t.TempDir()
	r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	secrets := []string{"beaver pond", "Slough", "Alder Seep", "Ferry", "Ditch", ",OFD,", "\"OFD", ">OFD", "LBP"}
	for _, n := range []string{"45.4127", "76.2053", "45.4181", "76.1969", "45.4066", "76.2110", "76.211", "45.4209", "76.2147"} {
		secrets = append(secrets, n, strings.Replace(n, ".", ",", 1))
	}
	files := outputs(t, out)
	if len(files) < 10 {
		t.Fatalf("only %d outputs", len(files))
	}
	for _, s := range tells(files, secrets) {
		t.Error(s)
	}
	var text bytes.Buffer
	if err := findings.JSON(&text, r.Findings); err != nil {
		t.Fatal(err)
	}
	for _, s := range tells(map[string]string{"the result": text.String()}, secrets) {
		t.Error(s)
	}
	if r.Counts.Captures != r.Counts.Occurrences || r.Counts.Captures < 200 {
		t.Errorf("%+v", r.Counts)
	}
	for _, o := range rows(t, filepath.Join(out, "darwin-core", "occurrence.csv")) {
		if o["informationWithheld"] == "" || o["minimumElevationInMeters"] != "" || (o["locality"] != "Ontario, Canada" && o["locality"] != "") {
			t.Fatalf("%v", o)
		}
	}
}

// Without the table, the same search finds the places: it looks where they are.
func TestTheSearchForPlacesWorks(t *testing.T) {
	out := t.TempDir()
	if _, err := pipeline.Run(context.Background(), demoCopy(t, nil), out, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	found := strings.Join(tells(outputs(t, out), []string{"Alder Seep", "45.4066"}), "\n")
	for _, want := range []string{"darwin-core/occurrence.csv tells alder seep", "darwin-core.zip/occurrence.csv tells 45.4066", "captures.csv tells alder seep", "eml.xml tells 45.4066"} {
		if !strings.Contains(found, want) {
			t.Errorf("%q is not in\n%s", want, found)
		}
	}
}

// heron is a survey that names the place of its sensitive animals wherever a
// person might: see the sheet. Tern Slough is a place of other animals.
var heron = map[string]string{
	"survey.yaml": `dataset:
  id: https://marrow-creek.invalid/datasets/frogs
  title: Frogs of Marrow Creek
  description: Invented.
  licence: https://creativecommons.org/licenses/by/4.0/legalcode
  rightsHolder: Marrow Creek Field Station
  creators: [{given: Ines, family: Varga}]
  published: "2024-09-01"
survey: {from: "2024-04-01", to: "2024-08-31"}
defaults:
  country: Canada
  stateProvince: Ontario
archive: {package: true}
instruments: [{name: caliper, kind: dial caliper, unit: mm, graduation: 0.1}]
tables: {sites: sites.csv, sensitive: sensitive.csv, checklist: checklist.csv}
sheets: [{file: frogs.csv, layout: {headingRow: 5}}, {file: pond.csv}]
mapping:
  key: [recordNumber]
  session: [eventDate, locality]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: By, term: recordedBy}
    - {heading: Place, term: locality}
    - {heading: Where, term: verbatimCoordinates}
    - {heading: Elev (m), term: minimumElevationInMeters}
    - {heading: Habitat, term: habitat}
    - {heading: Species, term: scientificName}
    - {heading: Sex, term: sex}
    - {heading: SVL, measurement: snoutVentLength, unit: mm, instrument: caliper}
    - {heading: Notes, term: occurrenceRemarks}
    - {heading: Camp, term: locationRemarks}
`,
	"sites.csv": "site,latitude,longitude,county,aliases\n" +
		"Heron Bluff,45.51237,-76.30418,Lanark,HB|Heron camp\nTern Slough,45.4181,-76.1969,Lanark,TS\n",
	"checklist.csv": "scientificName,vernacularName,acceptedNameUsage,family\nLithobates sylvaticus,wood frog,,Ranidae\nLithobates pipiens,northern leopard frog,,Ranidae\n" +
		"Rana sylvatica,,Lithobates sylvaticus,Ranidae\nAnaxyrus americanus,American toad,,Bufonidae\nBufo americanus,,Anaxyrus americanus,Bufonidae\n",
	"sensitive.csv": "taxon,grid,reason\nLithobates sylvaticus,0.1,collected for trade\n",
	"frogs.csv": `Frogs of Heron Bluff,,,,,,,,,,,
,,,,,,,,,,,
Camp:,Heron Bluff meadow,,,,,,,,,,
,,,,,,,,,,,
No,Date,By,Place,Where,Elev (m),Habitat,Species,Sex,SVL,Notes,Label
1,2024-05-02,I. Varga,Heron Bluff,,131,spring below Heron Bluff,Lithobates sylvaticus,F,51.2,under the heron rock,HB-1
2,2024-05-02,I. Varga,Heron Blufff,"45.51237, -76.30418",131,spring,Lithobates sylvaticus,F,"51.7 (at Heron Bluff)",,HB-2
3,2024-05-02,I. Varga,Heron Bluff,"45°30'44.5""N 76°18'15.1""W",131,spring,Lithobates sylvaticus,near Heron Bluff,50.9,,HB-3
4,2024-05-02,T. Okafor at Heron Bluff,heron bluff,45.51241 N 76.30422 W,431 ft,spring,Lithobates sp.,M,49.9,,HB-4
HB-5,3 May at Heron Bluff,I. Varga,HB,,,,Lithobates sylvaticus,M,see book at Heron Bluff,,
1,2024-05-03,I. Varga,Heron Bluff,,,,Lithobates silvaticus,xx,48.0,,
,2024-05-04,I. Varga,Heron Bluff,,,,unknown,xx,47.0,,
`,
	"pond.csv": `No,Date,By,Place,Habitat,Species,Sex,SVL,Notes,Label
6,2024-05-02,I. Varga,Tern Slough,pond,Lithobates pipiens,F,66.0,calling,TS-6
7,2024-05-02,I. Varga,Tern Slough,pond,Lithobates pipiens,xx,67.0,,TS-7
`,
}

var heronSecrets = []string{"heron", "bluff", "hb-", "45.512", "45,512", "76.304", "76,304", "30'44", "18'15", "45 30 44", "meadow", "431", "131"}

func heronSurvey(t *testing.T, change func(files map[string]string)) string {
	t.Helper()
	files := map[string]string{}
	for name, text := range heron {
		files[name] = text
	}
	if change != nil {
		change(files)
	}
	dir := t.TempDir()
	for name, text := range files {
		write(t, filepath.Join(dir, name), text)
	}
	return dir
}

func TestNoOutputTellsASensitivePlace(t *testing.T) {
	ctx, dir, out := context.Background(), heronSurvey(t, nil), t.TempDir()
	exact := filepath.Join(t.TempDir(), "exact.csv")
	r, err := pipeline.Run(ctx, dir, out, pipeline.Options{ExactPlaces: exact})
	if err != nil {
		t.Fatal(err)
	}
	files := outputs(t, out)
	for _, s := range tells(files, heronSecrets) {
		t.Error(s)
	}
	for _, want := range []string{"tern slough", "45.4181"} { // the other place is published as it is
		if len(tells(map[string]string{"": files[filepath.Join("darwin-core", "occurrence.csv")]}, []string{want})) == 0 {
			t.Errorf("occurrence.csv lacks %s", want)
		}
	}
	hidden, open := heronEvents(t, out)
	for id := range hidden {
		if open[id] {
			t.Errorf("event %s is of a hidden place and of a public one", id)
		}
	}
	// Whoever guesses the place cannot try it out on an identifier.
	for _, date := range []string{"2024-05-02", "2024-05-03", "2024-05-04"} {
		for _, name := range []string{"Heron Bluff", "Heron Blufff", "heron bluff", "HB"} {
			id := darwincore.EventID("https://marrow-creek.invalid/datasets/frogs", date+" / "+name)
			for _, s := range tells(files, []string{id}) {
				t.Error(s)
			}
		}
	}
	private := read(t, exact)
	for _, want := range []string{"45.51237", "Heron Bluff", "HB-5", "under the heron rock", "45°30'44.5\"\"N"} {
		if !strings.Contains(private, want) {
			t.Errorf("the file of exact places lacks %s:\n%s", want, private)
		}
	}
	if strings.Contains(private, "Tern") || len(rows(t, exact)) != 7 {
		t.Errorf("the file of exact places is\n%s", private)
	}
	if info, err := os.Stat(exact); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	if len(r.Captures) != 9 {
		t.Errorf("%d captures", len(r.Captures))
	}

	// So is the comparison of observers.
	compared := t.TempDir()
	if _, err := pipeline.Observe(ctx, dir, compared, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	for _, s := range tells(outputs(t, compared), heronSecrets) {
		t.Error(s)
	}
	// The proposals are an output too.
	p, err := pipeline.Propose(ctx, dir, pipeline.ProposeOptions{Level: 1}, pipeline.Options{})
	if err != nil || p.Wanted == 0 {
		t.Fatalf("%+v, %v", p, err)
	}
	for _, s := range tells(map[string]string{"remedies.csv": read(t, p.Path)}, heronSecrets) {
		t.Error(s)
	}
}

// heronEvents returns the events of hidden and of open captures, after checking
// that every hidden one lies within its published uncertainty.
func heronEvents(t *testing.T, out string) (hidden, open map[string]bool) {
	hidden, open = map[string]bool{}, map[string]bool{}
	for _, o := range rows(t, filepath.Join(out, "darwin-core", "occurrence.csv")) {
		if o["informationWithheld"] == "" {
			open[o["eventID"]] = true
			continue
		}
		hidden[o["eventID"]] = true
		lat, _ := strconv.ParseFloat(o["decimalLatitude"], 64)
		lon, _ := strconv.ParseFloat(o["decimalLongitude"], 64)
		u, _ := strconv.ParseFloat(o["coordinateUncertaintyInMeters"], 64)
		if o["decimalLatitude"] == "" {
			continue // a misspelled site without coordinates
		}
		if d := place.Distance(lat, lon, 45.51237, -76.30418); d > u || d < 100 || o["coordinatePrecision"] != "0.1" || o["dataGeneralizations"] == "" || o["geodeticDatum"] != "EPSG:4326" {
			t.Errorf("%v is %g m off", o, d)
		}
	}
	return hidden, open
}

// A place that comes in another way stops the run, and nothing is released.
func TestPlacesThatOnlyAPersonCanTakeOut(t *testing.T) {
	for _, tt := range []struct {
		what, says string
		change     func(map[string]string)
		exact      func(out string) string
	}{
		{what: "in the title", says: "would reveal the exact place of sensitive captures", change: func(f map[string]string) {
			f["survey.yaml"] = strings.Replace(f["survey.yaml"], "title: Frogs of Marrow Creek", "title: Frogs of Heron Bluff", 1)
		}},
		{what: "coordinates in the description", says: "eml.xml would reveal the exact place", change: func(f map[string]string) {
			f["survey.yaml"] = strings.Replace(f["survey.yaml"], "description: Invented.", "description: Near 45.5124 N and 76.3042 W.", 1)
		}},
		{what: "in a default", says: "would reveal the exact place", change: func(f map[string]string) {
			f["survey.yaml"] = strings.Replace(f["survey.yaml"], "  country: Canada\n", "  country: Canada\n  georeferenceRemarks: from the fork of Heron Bluff road\n", 1)
		}},
		{what: "name of a file", says: "is named after the place", change: func(f map[string]string) {
			f["survey.yaml"] = strings.Replace(f["survey.yaml"], "frogs.csv", "heron-bluff.csv", 1)
			f["heron-bluff.csv"] = f["frogs.csv"]
		}},
		{what: "the wording that stands for it", says: "sensitive.csv, line 2, column locality", change: func(f map[string]string) {
			f["sensitive.csv"] = "taxon,grid,reason,locality\nLithobates sylvaticus,0.1,x,hills round Heron Bluff\n"
		}},
		{what: "exact places among the outputs", says: "is in the output folder", exact: func(out string) string { return filepath.Join(out, "exact.csv") }},
		{what: "exact places below a folder that is not there", says: "does not exist", exact: func(out string) string { return filepath.Join(out+"-no", "exact.csv") }},
		{what: "exact places where none are withheld", says: "tables.sensitive", change: func(f map[string]string) {
			f["survey.yaml"] = strings.Replace(f["survey.yaml"], ", sensitive: sensitive.csv", "", 1)
			delete(f, "sensitive.csv")
		}, exact: func(out string) string { return out + ".csv" }},
	} {
		dir, out := heronSurvey(t, tt.change), t.TempDir()
		write(t, filepath.Join(out, "captures.csv"), "earlier")
		o := pipeline.Options{}
		if tt.exact != nil {
			o.ExactPlaces = tt.exact(out)
		}
		_, err := pipeline.Run(context.Background(), dir, out, o)
		var call *pipeline.CallError
		if !errors.As(err, &call) || !strings.Contains(filepath.ToSlash(err.Error()), tt.says) {
			t.Errorf("%s: %v, want …%s…", tt.what, err, tt.says)
		}
		if files := outputs(t, out); len(files) != 1 || files["captures.csv"] != "earlier" {
			t.Errorf("%s: %d files in the output folder", tt.what, len(files))
		}
	}
}

// The table is used even where survey.yaml does not name it.
func TestSensitiveTableThatIsNotNamed(t *testing.T) {
	dir := heronSurvey(t, func(f map[string]string) {
		f["survey.yaml"] = strings.Replace(f["survey.yaml"], ", sensitive: sensitive.csv", "", 1)
	})
	out := t.TempDir()
	if _, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	for _, s := range tells(outputs(t, out), heronSecrets) {
		t.Error(s)
	}
}

// A name that protects nothing stops every verb, with its line.
func TestSensitiveTaxonThatNothingMatches(t *testing.T) {
	dir := heronSurvey(t, func(f map[string]string) {
		f["sensitive.csv"] = "taxon,grid,reason\nAnaxyrus americanus,0.1,x\nAnaxyrus amercanus,0.1,x\nLithobates silvatics,0.1,x\n"
	})
	ctx, out := context.Background(), t.TempDir()
	_, checked := pipeline.Check(ctx, dir, pipeline.Options{})
	_, ran := pipeline.Run(ctx, dir, out, pipeline.Options{})
	_, observed := pipeline.Observe(ctx, dir, out, pipeline.Options{})
	for verb, err := range map[string]error{"check": checked, "run": ran, "observers": observed} {
		var call *pipeline.CallError
		if !errors.As(err, &call) || !strings.Contains(err.Error(), "sensitive.csv, line 3, column taxon") || !strings.Contains(err.Error(), "sensitive.csv, line 4, column taxon") ||
			strings.Contains(err.Error(), "line 2") {
			t.Errorf("%s: %v", verb, err)
		}
	}
	if files := outputs(t, out); len(files) > 0 {
		t.Errorf("%d files were written", len(files))
	}
}
