package pipeline

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record/need"
)

const eventSurvey = `dataset:
  id: https://marrow-creek.invalid/events
  title: Nights at the pond
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
archive: {core: event}
sheets: [{file: nights.csv}]
mapping:
  key: [recordNumber]
  session: [eventDate, locality]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: "Date", term: eventDate}
    - {heading: "Time", term: eventTime}
    - {heading: "Site", term: locality}
    - {heading: "Effort", term: samplingEffort}
    - {heading: "Species", term: scientificName}
    - {heading: "Count", term: individualCount}
    - {heading: "By", term: recordedBy}
    - {heading: "SVL", measurement: snoutVentLength, unit: mm}
`

const eventSheet = `No,Date,Time,Site,Effort,Species,Count,By,SVL
1,2023-05-01,21:10,Beaver Pond,2 h,Rana temporaria,1,I. Varga & T. Okafor,61
2,2023-05-01,21:40,Beaver Pond,2 h,Rana temporaria,1,I. Varga,58
3,2023-05-02,,Long Ditch,45 min,Bufo bufo,0,I. Varga,
4,2023-05-02,,Long Ditch,45 min,Rana temporaria,1,I. Varga,64
`

// Where the core is of events, these have date, place and effort; occurrences,
// absences among them, and measurements hang on them. The bytes are the same
// however the survey is cut, and the archive passes its proof.
func TestEventCore(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"survey.yaml": eventSurvey, "nights.csv": eventSheet} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var first map[string][]byte
	for name, o := range map[string]Options{
		"held":  {Version: "test"},
		"parts": {Version: "test", wholeRows: 1, partRows: 2},
	} {
		out := t.TempDir()
		if _, err := Run(context.Background(), dir, out, o); err != nil {
			t.Fatal(name, err)
		}
		got := map[string][]byte{}
		for _, f := range []string{"event.csv", "occurrence.csv", "measurementorfact.csv", "meta.xml"} {
			got[f] = readFile(t, out, filepath.Join("darwin-core", f))
		}
		for f := range first {
			if !bytes.Equal(first[f], got[f]) {
				t.Errorf("%s differs: %s", f, firstDifference(first[f], got[f]))
			}
		}
		first = got
		r, err := prove.Path(context.Background(), filepath.Join(out, "darwin-core.zip"), prove.Options{})
		if err != nil || need.Errors(r.Findings) > 0 {
			t.Errorf("%v %v", err, r.Findings)
		}
	}
	for file, texts := range map[string][]string{
		"event.csv":             {",2023-05-01,", ",2 h,", ",45 min,", "Survey,2023-05-01/2023-05-02"},
		"occurrence.csv":        {",21:10,", "I. Varga | T. Okafor", ",absent,", "\"\"recordedBy\"\":\"\"I. Varga & T. Okafor\"\""},
		"measurementorfact.csv": {"eventID,occurrenceID,", ",snout-vent length,SVL,61,"},
	} {
		for _, text := range texts {
			if !bytes.Contains(first[file], []byte(text)) {
				t.Errorf("%s has no %s:\n%s", file, text, first[file])
			}
		}
	}
	for _, text := range []string{"Beaver Pond", "2 h", "2023-05-01"} {
		if bytes.Contains(first["occurrence.csv"], []byte(text)) {
			t.Errorf("occurrence.csv repeats %s", text)
		}
	}
	if n := bytes.Count(first["event.csv"], []byte("\n")); n != 4 {
		t.Errorf("%d lines of events:\n%s", n, first["event.csv"])
	}
}
