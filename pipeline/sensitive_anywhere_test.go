package pipeline_test

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/edition"
	"spadefoot/pipeline/forms/formset"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/report/findings"
)

// columnsOfToads are the columns of a sheet, and what usually is in them.
var columnsOfToads = [][3]string{ // heading, meaning, usual text
	{"No", "term: recordNumber", ""}, {"Cat", "term: catalogNumber", "7"}, {"Mark", "term: organismID", ""},
	{"Date", "term: eventDate", "2024-05-02"}, {"Time", "term: eventTime", "21:10"}, {"By", "term: recordedBy", "I. Varga"},
	{"Checked by", "term: identifiedBy", "T. Okafor"}, {"How", "term: samplingProtocol", "by hand"}, {"County", "term: county", "Lanark"},
	{"Province", "term: stateProvince", "Ontario"}, {"Country", "term: country", "Canada"}, {"Place", "term: locality", "Heron Bluff"},
	{"Elev", "term: minimumElevationInMeters", "131"}, {"Lat", "term: decimalLatitude", "45.51237"}, {"Lon", "term: decimalLongitude", "-76.30418"},
	{"Species", "term: scientificName", "Anaxyrus americanus"}, {"Common", "term: vernacularName", "American toad"}, {"Sure", "term: identificationQualifier", ""},
	{"Sex", "term: sex", "F"}, {"Stage", "term: lifeStage", "adult"}, {"Breeding", "term: reproductiveCondition", ""}, {"Count", "term: individualCount", "1"},
	{"Kept", "term: preparations", ""}, {"Measured by", "term: measurementDeterminedBy", "I. Varga"}, {"SVL", "measurement: snoutVentLength, unit: mm, instrument: caliper", "71.2"}, {"Tibia", "measurement: tibiaLength, unit: mm", "27.1"},
	{"Gross", "weighing: gross, unit: g", "41.5"}, {"Tare", "weighing: tare, unit: g", "3.5"}, {"Bag", "weighing: bag", "B1"}, {"Scale", "weighing: scale", ""},
	{"Notes", "term: occurrenceRemarks", ""}, {"Aside", "aside: of the team", ""}, {"Label", "", ""},
}

// namingTexts are words and coordinates of a place that are in no column of places.
var (
	namingTexts  = []string{"Quillfen Hollow", "45.98765", "Quillfen", "at Quillfen Hollow 45.98765 N 76.54321 W", "F (Quillfen)", "45°59'15.5\"N", "7 Quillfen"}
	namedSecrets = []string{"quillfen", "45.9876", "45.9877", "45,9876", "45°59", "45 59 15", "76.5432"}
)

// toads is a survey in which each cell of one capture names a place in turn, and
// of another the row has moved by a column.
func toads(t *testing.T) string {
	dir := t.TempDir()
	var survey, sheet strings.Builder
	text := heron["survey.yaml"]
	survey.WriteString(strings.Replace(strings.Replace(text[:strings.Index(text, "  headings:")], "sites: sites.csv, ", "", 1),
		"[{file: frogs.csv, layout: {headingRow: 5}}, {file: pond.csv}]", "[{file: toads.csv, weighing: {way: same-row, unit: g}}, {file: moved.csv, weighing: {way: same-row, unit: g}}]", 1))
	survey.WriteString("  headings:\n")
	var headings, usual []string
	for _, c := range columnsOfToads {
		headings, usual = append(headings, c[0]), append(usual, c[2])
		if c[1] != "" {
			fmt.Fprintf(&survey, "    - {heading: %q, %s}\n", c[0], c[1])
		}
	}
	row := func(number int, cells []string) string {
		cells = slices.Clone(cells)
		if cells[0] == "" {
			cells[0] = fmt.Sprint(number)
		}
		for i := range cells {
			cells[i] = `"` + strings.ReplaceAll(cells[i], `"`, `""`) + `"`
		}
		return strings.Join(cells, ",") + "\n"
	}
	public := slices.Clone(usual)
	at := func(heading string) int { return slices.Index(headings, heading) }
	public[at("Species")], public[at("Common")], public[at("Place")] = "Lithobates pipiens", "", "Tern Slough"
	public[at("Lat")], public[at("Lon")], public[at("Elev")] = "45.4181", "-76.1969", "12"
	sheet.WriteString(strings.Join(headings, ",") + "\n")
	n := 0
	for i := range headings {
		for _, text := range namingTexts {
			n++
			size := 62 + float64(n*7919%163)/10
			cells := slices.Clone(usual)
			cells[at("SVL")], cells[at("Tibia")] = fmt.Sprintf("%.1f", size), fmt.Sprintf("%.1f", 0.4*size+float64(n*6007%31)/20)
			cells[at("Gross")] = fmt.Sprintf("%.1f", 3.5+38*math.Pow(size/71.2, 3)*(1+float64(n*5003%17-8)/100))
			cells[i] = text
			sheet.WriteString(row(n, cells))
		}
		n++
		sheet.WriteString(row(n, public))
	}
	write(t, filepath.Join(dir, "toads.csv"), sheet.String())
	moved := slices.Insert(slices.Clone(usual), at("County"), "Quillfen Hollow")
	moved[at("Place")+1], moved[at("Lat")+1], moved[at("Lon")+1] = "Quillfen Hollow", "45.98765", "-76.54321"
	neighbour := slices.Clone(public)
	neighbour[at("Place")], neighbour[at("Lat")], neighbour[at("Lon")] = "Quillfen Hollow", "45.98765", "-76.54321"
	write(t, filepath.Join(dir, "moved.csv"), strings.Join(headings, ",")+"\n"+row(901, neighbour)+row(902, moved)+row(903, neighbour))
	write(t, filepath.Join(dir, "survey.yaml"), survey.String())
	write(t, filepath.Join(dir, "checklist.csv"), heron["checklist.csv"])
	write(t, filepath.Join(dir, "sensitive.csv"), "taxon,grid,reason\nAnaxyrus americanus,0.1,collected for trade\n")
	return dir
}

// A place that is in a cell of a hidden capture, whatever its column is for,
// is in no output, at any size of parts.
func TestNoOutputTellsAPlaceInAnyCell(t *testing.T) {
	ctx, dir := context.Background(), toads(t)
	for _, parts := range []pipeline.Options{{}, pipeline.InParts(1, 64), pipeline.InParts(1, 2048)}[:need.Times(2, 3)] {
		out := t.TempDir()
		o := parts
		o.OnResult = func(r *pipeline.Result) error {
			for _, s := range tells(continuousFiles(t, dir, r), namedSecrets) {
				t.Error(s)
			}
			return nil
		}
		r, err := pipeline.Run(ctx, dir, out, o)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range tells(outputs(t, out), namedSecrets) {
			t.Error(s)
		}
		named, hidden := 0, 0
		for _, o := range rows(t, filepath.Join(out, "darwin-core", "occurrence.csv")) {
			if o["informationWithheld"] != "" {
				hidden++
			}
			if o["informationWithheld"] != "" && o["scientificName"] != "" && o["recordedBy"] == "I. Varga" && o["sex"] == "female" && o["eventDate"] != "" {
				named++
			}
		}
		if hidden != len(namingTexts)*len(columnsOfToads)+3 || named < hidden*3/4 {
			t.Errorf("%d captures are hidden, %d with what may be told", hidden, named)
		}
		for _, f := range r.Findings {
			if f.Rule == "sensitive-rows-moved" && (f.At.File != "moved.csv" || f.At.Row != 3 || len(f.Also) > 0) {
				t.Errorf("%+v", f)
			}
		}
		if _, err := pipeline.Check(ctx, dir, o); err != nil {
			t.Fatal(err)
		}
		compared := t.TempDir()
		if _, err := pipeline.Observe(ctx, dir, compared, parts); err != nil {
			t.Fatal(err)
		}
		for _, s := range tells(outputs(t, compared), namedSecrets) {
			t.Error("observers: " + s)
		}
	}
	p, err := pipeline.Propose(ctx, dir, pipeline.ProposeOptions{Level: 1}, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range tells(map[string]string{"remedies": read(t, p.Path)}, namedSecrets) {
		t.Error(s)
	}
}

// continuousFiles are what a run writes for continuous integration.
func continuousFiles(t *testing.T, dir string, r *pipeline.Result) map[string]string {
	t.Helper()
	out := map[string]string{}
	results, err := r.Results(dir, "test", nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, write := range map[string]func(*bytes.Buffer) error{
		"sarif":    func(b *bytes.Buffer) error { return findings.SARIF(b, results) },
		"junit":    func(b *bytes.Buffer) error { return findings.JUnit(b, results) },
		"markdown": func(b *bytes.Buffer) error { return findings.Markdown(b, results) },
		"known":    func(b *bytes.Buffer) error { return findings.WriteKnown(b, results.Findings, nil) },
		"csv": func(b *bytes.Buffer) error {
			return findings.EachCSV(b, func(yield func(record.Finding) bool) {
				for f, err := range r.Each() {
					if err != nil || !yield(f) {
						return
					}
				}
			})
		},
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		if b.Len() == 0 {
			t.Errorf("%s is empty", name)
		}
		out[name] = b.String()
	}
	return out
}

// Whoever has the rest of a sheet cannot try places until a hash or a size fits,
// and no column of characters tells how long a hidden text is.
func TestNoHashOfAFileThatHoldsAHiddenPlace(t *testing.T) {
	ctx := context.Background()
	for _, hidden := range []bool{true, false} {
		dir, out, compared := heronSurvey(t, nil), t.TempDir(), t.TempDir()
		if !hidden {
			write(t, filepath.Join(dir, "sensitive.csv"), "taxon,grid,reason\n")
		}
		o := pipeline.Options{OnResult: func(r *pipeline.Result) error {
			if text := continuousFiles(t, dir, r)["sarif"]; strings.Contains(text, "startColumn") == hidden || !strings.Contains(text, "startLine") {
				t.Errorf("hidden %v: the SARIF has other regions", hidden)
			}
			return nil
		}}
		if _, err := pipeline.Run(ctx, dir, out, o); err != nil {
			t.Fatal(err)
		}
		if _, err := pipeline.Observe(ctx, dir, compared, pipeline.Options{}); err != nil {
			t.Fatal(err)
		}
		var secrets []string
		for _, name := range []string{"frogs.csv", "sites.csv", "survey.yaml"} {
			text := read(t, filepath.Join(dir, name))
			secrets = append(secrets, fmt.Sprintf("%x", sha256.Sum256([]byte(text))), fmt.Sprintf(`"bytes": %d`, len(text)), fmt.Sprintf(`class="n">%d<`, len(text)))
		}
		for _, folder := range []string{out, compared} {
			if found := tells(outputs(t, folder), secrets); hidden && len(found) > 0 || !hidden && len(found) < 9 {
				t.Errorf("hidden %v: %v", hidden, found)
			}
		}
	}
}

// Check refuses what run refuses, in whatever form it tells it.
func TestCheckGuardsAsRunDoes(t *testing.T) {
	for what, change := range map[string]func(map[string]string){
		"title": func(f map[string]string) {
			f["survey.yaml"] = strings.Replace(f["survey.yaml"], "title: Frogs of Marrow Creek", "title: Frogs of Heron Bluff", 1)
		},
		"description": func(f map[string]string) {
			f["survey.yaml"] = strings.Replace(f["survey.yaml"], "description: Invented.", "description: Near 45.5124 N and 76.3042 W.", 1)
		},
		"heading": func(f map[string]string) {
			f["pond.csv"] = strings.Replace(f["pond.csv"], "Label", "Heron Bluff tag", 1)
		},
	} {
		dir := heronSurvey(t, change)
		_, ran := pipeline.Run(context.Background(), dir, t.TempDir(), pipeline.Options{})
		_, checked := pipeline.Check(context.Background(), dir, pipeline.Options{})
		for verb, err := range map[string]error{"run": ran, "check": checked} {
			var call *pipeline.CallError
			if !errors.As(err, &call) || !strings.Contains(err.Error(), "would reveal the exact place") {
				t.Errorf("%s, %s: %v", what, verb, err)
			}
		}
	}
}

// What is printed of a result goes through the guard.
func TestGuarded(t *testing.T) {
	r, err := pipeline.Check(context.Background(), heronSurvey(t, nil), pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for text, passes := range map[string]bool{"all at Tern Slough": true, "all at Heron Bluff": false} {
		var b strings.Builder
		err := r.Guarded("standard output", &b, func(w io.Writer) error { _, err := io.WriteString(w, text); return err })
		if (err == nil) != passes || (b.String() == text) != passes {
			t.Errorf("%s: %v, %q", text, err, b.String())
		}
	}
}

// Of an earlier run, when nothing was withheld, the comparison says nothing that
// may tell a place.
func TestComparisonWithARunBeforePlacesWereWithheld(t *testing.T) {
	ctx, dir, before, now := context.Background(), heronSurvey(t, nil), t.TempDir(), t.TempDir()
	table := read(t, filepath.Join(dir, "sensitive.csv"))
	write(t, filepath.Join(dir, "sensitive.csv"), "taxon,grid,reason\n")
	if _, err := pipeline.Run(ctx, dir, before, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, "sensitive.csv"), table)
	if _, err := pipeline.Run(ctx, dir, now, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	a, err := edition.Read(before)
	if err != nil {
		t.Fatal(err)
	}
	b, err := edition.Read(now)
	if err != nil {
		t.Fatal(err)
	}
	c := b.Since(a)
	if !c.Veiled || len(c.FindingsGone) == 0 || len(c.FilesOld) > 0 {
		t.Errorf("veiled %v, %d findings gone, files changed %v", c.Veiled, len(c.FindingsGone), c.FilesOld)
	}
}

// Forms name the sites that captures tell whose places are public, and no other.
func TestFormsHoldNoPlaceThatIsWithheld(t *testing.T) {
	ctx := context.Background()
	dir := heronSurvey(t, func(f map[string]string) {
		f["survey.yaml"] = "# the key to Heron Bluff hangs behind the door\n" +
			strings.Replace(f["survey.yaml"], "{heading: Place, term: locality}", "{heading: Place, term: locality, words: {HB: Heron Bluff, TS: Tern Slough}}", 1)
		f["sites.csv"] += "Quillfen Hollow,45.6,-76.4,Lanark,\n"
	})
	for _, named := range []bool{true, false} {
		if !named {
			path := filepath.Join(dir, "survey.yaml")
			write(t, path, strings.Replace(read(t, path), "sensitive: sensitive.csv, ", "", 1))
		}
		out := filepath.Join(t.TempDir(), "forms")
		made, err := pipeline.Forms(ctx, dir, out, formset.Options{Sessions: 1, Replicates: 1})
		if err != nil {
			t.Fatal(err)
		}
		files := outputs(t, out)
		for name, text := range files {
			if filepath.Ext(name) == ".xlsx" {
				for inner, text := range unzipped(t, text) {
					files[name+"/"+inner] = text
				}
			}
		}
		for _, s := range tells(files, []string{"heron", "bluff", "45.512", "76.304", "quillfen"}) {
			t.Error(s)
		}
		if made.SitesOut != 2 || files["sites.csv"] != "site,latitude,longitude,county,aliases\nTern Slough,45.4181,-76.1969,Lanark,TS\n" || files["sensitive.csv"] == "" {
			t.Errorf("%d sites are left out; %s", made.SitesOut, files["sites.csv"])
		}
		if len(tells(files, []string{"tern slough"})) < 3 {
			t.Error("the forms lack the public site")
		}
	}
}

// unzipped returns the files of an archive.
func unzipped(t *testing.T, text string) map[string]string {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(text), int64(len(text)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		out[f.Name] = string(b)
	}
	return out
}
