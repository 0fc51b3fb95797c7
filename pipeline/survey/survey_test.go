package survey

import (
	"strings"
	"testing"
	"testing/fstest"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

func known() mapping.Known {
	in := func(words ...string) func(string) (bool, string) {
		return func(w string) (bool, string) {
			for _, k := range words {
				if k == w {
					return true, ""
				}
			}
			return false, config.Nearest(w, words)
		}
	}
	return mapping.Known{
		Term: in("recordNumber", "sex", "recordedBy", "basisOfRecord"), Measurement: in("snoutVentLength"), Unit: in("mm", "g"),
	}
}

const text = `dataset: {id: a, title: A}
instruments:
  - {name: scale, unit: g, graduation: 0.5}
mapping: m.yaml
sheets:
  - {file: "2021-*.csv", defaults: {recordedBy: I. Varga}, weighing: {tare: 5}}
  - file: notes.csv
    mapping:
      headings:
        - {heading: "No", term: recordNumber}
`

const mapText = `weighing: {way: session-tare, unit: g, scale: scale}
headings:
  - {heading: Field No, term: recordNumber}
  - {heading: SVL, measurement: snoutVentLength, unit: mm}
`

func folder(survey string) fstest.MapFS {
	f := fstest.MapFS{}
	for name, t := range map[string]string{FileName: survey, "m.yaml": mapText, "2021-b.csv": "", "2021-a.csv": "", "notes.csv": ""} {
		f[name] = &fstest.MapFile{Data: []byte(t)}
	}
	return f
}

func TestLoad(t *testing.T) {
	s, err := Load(folder(text), nil, known())
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, r := range s.Sheets {
		files = append(files, r.File)
	}
	if got := strings.Join(files, " "); got != "2021-a.csv 2021-b.csv notes.csv" {
		t.Errorf("sheets %s", got)
	}
	w := s.Sheets[0].Weighing
	if w.Way != record.SessionTare || w.Tare != 5 || w.Scale != "scale" {
		t.Errorf("the sheet's weighing is not laid over the mapping's: %+v", w)
	}
	if s.Sheets[0].Map != s.Sheets[1].Map || s.Sheets[2].Map == s.Sheets[0].Map || len(s.Sheets[2].Map.Headings) != 1 {
		t.Error("the mappings are not those that were named")
	}
	if s.Dataset.Language != "en" || !s.Archive.GrossMass {
		t.Errorf("the schema's defaults do not hold: %q, %v", s.Dataset.Language, s.Archive.GrossMass)
	}
	if _, ok := s.Files["m.yaml"]; !ok {
		t.Error("the mapping's text is not kept for run.json")
	}
}

func TestLoadMistakes(t *testing.T) {
	for _, c := range []struct{ name, from, to, says string }{
		{"unknown default", "recordedBy:", "recordedByy:", `survey.yaml, line 6, key sheets.0.defaults.recordedByy`},
		{"no such file", "2021-*.csv", "2022-*.csv", "matches no file"},
		{"nothing but leftovers", "2021-*.csv", "~$*", "matches no file"},
		{"folders in the way of Windows", `"2021-*.csv"`, `'old\june.csv'`, "with forward slashes: old/june.csv"},
		{"pattern in the way of Windows", `"2021-*.csv"`, `'old\*.csv'`, "with forward slashes: old/*.csv"},
		{"drive", `"2021-*.csv"`, `'C:\field\june.csv'`, "a path within the survey folder, with forward slashes"},
		{"unit of an instrument", "unit: g,", "unit: gr,", "line 3, key instruments.0.unit"},
		{"repeatability of nothing", "sheets:", "repeatability: [{measurement: snoutVentLenght, relative: 1}]\nsheets:", "key repeatability.0.measurement"},
		{"repeatability without a figure", "sheets:", "repeatability: [{measurement: snoutVentLength}]\nsheets:", "key repeatability.0"},
		{"mapping within the survey", "term: recordNumber", "term: recordNumbr", `key sheets.1.mapping.headings.0.term: found "recordNumbr", which is not a current Darwin Core term; did you mean "recordNumber"?`},
		{"starter that is not there", "m.yaml", "starter/none", "no starter mapping has that name"},
		{"path that leaves the folder", "m.yaml", "../m.yaml", "within the survey folder"},
	} {
		_, err := Load(folder(strings.Replace(text, c.from, c.to, 1)), nil, known())
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.says)
		}
	}
	if _, err := Load(fstest.MapFS{}, nil, known()); err == nil || !strings.Contains(err.Error(), "survey.yaml: is missing") {
		t.Errorf("no survey.yaml: got %v", err)
	}
}

func TestLevels(t *testing.T) {
	s := &Survey{Rules: Rules{Levels: map[string]string{"a": "off", "b": "error"}}}
	if _, on := s.Level("a", record.Warning); on {
		t.Error("a rule that is off still speaks")
	}
	if l, on := s.Level("b", record.Note); !on || l != record.Error {
		t.Errorf("got %v", l)
	}
	if l, on := s.Level("c", record.Note); !on || l != record.Note {
		t.Errorf("got %v", l)
	}
}

// Windows parts folders by backslashes and begins paths with a drive; a survey
// folder is read alike everywhere.
func TestWithin(t *testing.T) {
	for _, c := range []struct {
		file string
		want bool
	}{
		{"june.csv", true}, {"old years/Frösche 2023.xlsx", true}, {"20*/*.csv", true}, {"a:b.csv", true},
		{"../june.csv", false}, {"/data/june.csv", false}, {"C:/data/june.csv", false}, {`C:\data\june.csv`, false},
		{`\\server\field\june.csv`, false}, {`\data\june.csv`, false}, {"old//june.csv", false}, {"", false},
	} {
		if got := within(c.file); got != c.want {
			t.Errorf("%q: %v, want %v", c.file, got, c.want)
		}
	}
}

// What a spreadsheet program or a file browser left beside the sheets is no
// sheet, whatever pattern it matches.
func TestLeftoversAreLeftAlone(t *testing.T) {
	f := folder(strings.Replace(text, "2021-*.csv", "*2021*", 1))
	for _, name := range []string{"~$2021-a.xlsx", ".~lock.2021-a.csv#", "._2021-b.csv"} {
		f[name] = &fstest.MapFile{Data: []byte("x")}
	}
	s, err := Load(f, nil, known())
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Sheets) != 3 || s.Sheets[0].File != "2021-a.csv" || s.Sheets[1].File != "2021-b.csv" {
		t.Errorf("sheets %+v", s.Sheets)
	}
	if got := strings.Join(s.LeftAlone, " "); got != "._2021-b.csv .~lock.2021-a.csv# ~$2021-a.xlsx" {
		t.Errorf("left alone: %s", got)
	}
}
