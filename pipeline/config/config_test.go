package config

import (
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/pflag"

	"spadefoot/pipeline/record/budget"
	"spadefoot/schemas"
)

func mistakes(t *testing.T, err error) Mistakes {
	t.Helper()
	ms, ok := err.(Mistakes)
	if !ok {
		t.Fatalf("want Mistakes, got %T %v", err, err)
	}
	return ms
}

func TestMistakesNameLineKeyAndNearest(t *testing.T) {
	for _, c := range []struct {
		name, text, schema string
		line               int
		path, found, near  string
	}{
		{"unknown key", "headings:\n  - heading: SVL\n    mesurement: snoutVentLength\n", "mapping.schema.json", 3, "headings.0.mesurement", `the key "mesurement"`, "measurement"},
		{"word of a list", "weighing:\n  way: bagtable\nheadings:\n  - {heading: A, term: sex}\n", "mapping.schema.json", 2, "weighing.way", `"bagtable"`, "bag-table"},
		{"wrong type", "headings:\n  - heading: A\n    replicate: two\n", "mapping.schema.json", 3, "headings.0.replicate", `"two"`, ""},
		{"another form", "dataset: {id: a, title: b, countryCode: ca}\nsheets: []\n", "survey.schema.json", 1, "dataset.countryCode", `"ca"; write it as in CA`, ""},
		{"missing key", "dataset: {id: a}\nsheets:\n  - file: x.csv\n", "survey.schema.json", 1, "dataset", `the key "title" is missing`, ""},
		{"list expected", "dataset: {id: a, title: b}\nsheets: x.csv\n", "survey.schema.json", 2, "sheets", `"x.csv"; it must be a list, even with one item: [x.csv]`, ""},
		{"nested key", "dataset: {id: a, title: b}\nsheets:\n  - file: x\n    layout:\n      headingrow: 3\n", "survey.schema.json", 5, "sheets.0.layout.headingrow", "is not allowed here", "headingRow"},
		{"one key of several", "dataset:\n  id: a\n  title: b\n  creators:\n    - {given: Ines}\nsheets:\n  - file: x\n", "survey.schema.json", 5, "dataset.creators.0", "a key is missing; one of these is needed: family, organisation, position", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := Parse("m.yaml", []byte(c.text))
			if err != nil {
				t.Fatal(err)
			}
			m := mistakes(t, d.Check(c.schema))[0]
			if m.Line != c.line || m.Path != c.path || m.Nearest != c.near || !strings.Contains(m.Problem, c.found) {
				t.Errorf("got line %d, path %q, nearest %q, problem %q", m.Line, m.Path, m.Nearest, m.Problem)
			}
		})
	}
}

// Whoever writes a text in another form is shown one in the right form.
func TestFormsHaveExamples(t *testing.T) {
	for _, name := range []string{"survey.schema.json", "mapping.schema.json"} {
		text, err := schemas.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var tree any
		if err := json.Unmarshal(text, &tree); err != nil {
			t.Fatal(err)
		}
		var look func(path string, at any)
		look = func(path string, at any) {
			keys, _ := at.(map[string]any)
			if form, ok := keys["pattern"].(string); ok {
				examples, _ := keys["examples"].([]any)
				for _, e := range examples {
					if !regexp.MustCompile(form).MatchString(fmt.Sprint(e)) {
						t.Errorf("%s, %s: the example %v is not in the form %s", name, path, e, form)
					}
				}
				if len(examples) == 0 {
					t.Errorf("%s, %s: no examples of the form %s", name, path, form)
				}
			}
			for key, below := range keys {
				look(path+"."+key, below)
			}
		}
		look("", tree)
	}
}

func TestSyntaxMistakes(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		line int
		says string
	}{
		"not YAML":  {"dataset: [unclosed\n", 0, "not readable YAML"},
		"key twice": {"a: 1\nb: 2\na: 3\n", 3, `"a" appears twice`},
		"a tab":     {"a:\n\tb: 1\n", 2, "not readable YAML"},
	} {
		_, err := Parse("survey.yaml", []byte(c.text))
		m := mistakes(t, err)[0]
		if (c.line > 0 && m.Line != c.line) || !strings.Contains(m.Problem, c.says) {
			t.Errorf("%s: got line %d, %q", name, m.Line, m.Problem)
		}
	}
}

func TestDatesStayText(t *testing.T) {
	d, err := Parse("survey.yaml", []byte("survey: {from: 2021-03-01}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if v, _ := lookup(d.Root.(map[string]any), "survey.from"); v != "2021-03-01" {
		t.Errorf("got %#v", v)
	}
}

// The order is flag > environment > file > default.
func TestOverlayOrder(t *testing.T) {
	const file = "dataset: {id: file, title: file}\nsheets: [{file: x.csv}]\nfailOn: note\n"
	read := func(t *testing.T, args ...string) *Document {
		t.Helper()
		set := pflag.NewFlagSet("", pflag.ContinueOnError)
		set.String("fail-on", "", "")
		if err := set.Parse(args); err != nil {
			t.Fatal(err)
		}
		d, err := Parse("survey.yaml", []byte(file))
		if err != nil {
			t.Fatal(err)
		}
		if err := d.Overlay("survey.schema.json", map[string]*pflag.Flag{"failOn": set.Lookup("fail-on")}); err != nil {
			t.Fatal(err)
		}
		return d
	}
	value := func(d *Document, path string) any {
		v, _ := lookup(d.Root.(map[string]any), path)
		return v
	}
	d := read(t)
	if value(d, "failOn") != "note" || value(d, "dataset.language") != "en" {
		t.Errorf("file and default: got %v and %v", value(d, "failOn"), value(d, "dataset.language"))
	}
	t.Setenv("SPADEFOOT_FAILON", "warning")
	t.Setenv("SPADEFOOT_DATASET_TITLE", "from outside")
	t.Setenv("SPADEFOOT_SURVEY_GPSERROR", "4.5")
	d = read(t)
	if value(d, "failOn") != "warning" || value(d, "dataset.title") != "from outside" || value(d, "survey.gpsError") != 4.5 {
		t.Errorf("environment: got %v, %v, %v", value(d, "failOn"), value(d, "dataset.title"), value(d, "survey.gpsError"))
	}
	if d = read(t, "--fail-on", "error"); value(d, "failOn") != "error" {
		t.Errorf("flag: got %v", value(d, "failOn"))
	}
	t.Setenv("SPADEFOOT_SURVEY_GPSERROR", "four")
	m := mistakes(t, read(t).Check("survey.schema.json"))[0]
	if m.File != "environment variable SPADEFOOT_SURVEY_GPSERROR" {
		t.Errorf("the mistake names %q", m.File)
	}
	t.Setenv("SPADEFOOT_SURVEY_GPSERROR", "4")
	m = mistakes(t, read(t, "--fail-on", "eror").Check("survey.schema.json"))[0]
	if m.File != "flag --fail-on" || m.Nearest != "error" {
		t.Errorf("the mistake names %q and suggests %q", m.File, m.Nearest)
	}
}

// A variable that was meant for a key and is misspelt is told of, as a misspelt key
// of the file is; those of other programs, and of our own tests, are left alone.
func TestMisspeltVariables(t *testing.T) {
	leaves := leavesOf("survey.schema.json")
	for name, want := range map[string]string{
		"SPADEFOOT_DATASET_TITEL":  `environment variable SPADEFOOT_DATASET_TITEL: there is no such key; did you mean "SPADEFOOT_DATASET_TITLE"?`,
		"SPADEFOOT_DATASET_COLOUR": "environment variable SPADEFOOT_DATASET_COLOUR: there is no such key",
		"SPADEFOOT_FAIL_ON":        `environment variable SPADEFOOT_FAIL_ON: there is no such key; did you mean "SPADEFOOT_FAILON"?`,
		"SPADEFOOT_DATASET_TITLE":  "",
		"SPADEFOOT_BUDGETS_NODES":  "",
		"SPADEFOOT_SHARED":         "",
		"SPADEFOOT_SURVEY":         "",
		"SPADEFOOT_REQUIRE":        "",
		"HOME":                     "",
	} {
		got := ""
		if ms := misspelt(leaves, []string{name + "=x"}); len(ms) > 0 {
			got = ms.Error()
		}
		if got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
	}
}

func TestNearest(t *testing.T) {
	words := []string{"gross", "tare", "net", "bag", "scale"}
	for in, want := range map[string]string{"gros": "gross", "trae": "tare", "NET": "net", "thermometer": ""} {
		if got := Nearest(in, words); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", in, got, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte("a: &x [1, *x]\n"))
	f.Add([]byte("dataset: {id: a}\nsheets: [{file: x}]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		d, err := Parse("f.yaml", text)
		if err != nil {
			if _, ok := err.(Mistakes); !ok {
				t.Fatalf("%T", err)
			}
			return
		}
		_ = d.Line("a.b.0")
		if err := d.Check("survey.schema.json"); err != nil {
			_ = err.Error()
		}
	})
}

// A few lines of aliases stand for a list of millions.
func TestAliasesAreCounted(t *testing.T) {
	text := "a: &a [x, x, x, x, x, x, x, x, x]\n"
	for c := 'b'; c < 'j'; c++ {
		text += fmt.Sprintf("%c: &%c [%s*%c]\n", c, c, strings.Repeat(fmt.Sprintf("*%c, ", c-1), 8), c-1)
	}
	var over *budget.Exceeded
	if _, err := Parse("survey.yaml", []byte(text)); !errors.As(err, &over) || over.File != "survey.yaml" || over.Key != budget.Nodes {
		t.Errorf("got %v", err)
	}
	t.Setenv("SPADEFOOT_BUDGETS_NODES", "100")
	if _, err := Parse("survey.yaml", []byte("a: "+strings.Repeat("x", 2000))); !errors.As(err, &over) {
		t.Errorf("a large file: %v", err)
	}
	if _, err := Parse("survey.yaml", []byte("a: &a {b: 1}\nc: *a\n")); err != nil {
		t.Error(err)
	}
}
