package layout_test

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

// TestLayouts reads every file of testdata/layouts. A file is about one layout
// and holds cases: a line "## name", a line of options if any, the sheet with
// cells parted by |, a line "->", and the tables and findings as draw writes
// them. A name with "not" is a sheet that must not be torn apart or misread.
//
// Each case is read with a mapping that knows the headings of Marrow Creek,
// with one that knows none, and without a mapping, and has to come out the same
// unless its options name the mapping.
//
// SPADEFOOT_UPDATE=1 writes the outcomes into the files, to be read before they
// are believed.
func TestLayouts(t *testing.T) {
	files, err := filepath.Glob("testdata/layouts/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatal("no cases", err)
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var out strings.Builder
		topic, rest, _ := strings.Cut(string(b), "\n## ")
		out.WriteString(topic)
		for _, text := range strings.Split(rest, "\n## ") {
			c := readCase(t, text)
			t.Run(strings.TrimSuffix(filepath.Base(file), ".txt")+"/"+c.name, func(t *testing.T) {
				got := c.find(t)
				if os.Getenv("SPADEFOOT_UPDATE") == "" {
					if d := cmp.Diff(strings.Split(c.want, "\n"), strings.Split(got, "\n")); d != "" {
						t.Error(d)
					}
				}
				out.WriteString("\n## " + c.head + "\n->\n" + got)
			})
		}
		if os.Getenv("SPADEFOOT_UPDATE") != "" {
			if err := os.WriteFile(file, []byte(out.String()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

type layoutCase struct {
	name, head, want string
	lines            []string
	sheet            string
	options          layout.Options
	mappings         []func(string) bool
}

func readCase(t *testing.T, text string) layoutCase {
	t.Helper()
	head, want, _ := strings.Cut(text, "\n->\n")
	lines := strings.Split(strings.TrimRight(head, "\n"), "\n")
	c := layoutCase{name: lines[0], head: strings.TrimRight(head, "\n"), want: strings.TrimRight(want, "\n") + "\n",
		mappings: []func(string) bool{station, nil, unknown}}
	lines = lines[1:]
	if len(lines) > 0 && strings.HasPrefix(lines[0], "options ") {
		for _, o := range strings.Split(lines[0][len("options "):], " ") {
			c.option(t, o)
		}
		lines = lines[1:]
	}
	c.lines = lines
	return c
}

func (c *layoutCase) option(t *testing.T, text string) {
	t.Helper()
	name, value, _ := strings.Cut(text, "=")
	n, _ := strconv.Atoi(value)
	switch name {
	case "plain":
		c.options.Plain = true
	case "headingRow":
		c.options.HeadingRow = n
	case "headingRows":
		c.options.HeadingRows = n
	case "lastRow":
		c.options.LastRow = n
	case "firstColumn":
		c.options.FirstColumn = n
	case "lastColumn":
		c.options.LastColumn = n
	case "transposed":
		yes := value != "no"
		c.options.Transposed = &yes
	case "carryDown":
		c.options.CarryDown = strings.Split(value, ",")
	case "keepBlank":
		c.options.KeepBlank = func(heading string) bool { return heading == value }
	case "skipRows":
		for _, v := range strings.Split(value, ",") {
			n, _ := strconv.Atoi(v)
			c.options.SkipRows = append(c.options.SkipRows, n)
		}
	case "label":
		k, v, _ := strings.Cut(value, ":")
		c.options.Labels = append(c.options.Labels, record.Label{Name: k, Cell: record.Cell{Text: v, Kind: record.Text}})
	case "mapping":
		c.mappings = map[string][]func(string) bool{"station": {station}, "none": {nil}, "unknown": {unknown}}[value]
	case "tab":
		c.sheet = value
	default:
		t.Fatalf("no option %q", name)
	}
}

// find returns the outcome, which has to be the same for all mappings.
func (c *layoutCase) find(t *testing.T) string {
	t.Helper()
	first := ""
	for k, m := range c.mappings {
		o := c.options
		o.IsHeading = m
		s := paper(c.lines...)
		s.Name = c.sheet
		tables, findings := layout.Find(s, o)
		if out := lost(s, o, tables, findings); len(out) > 0 {
			t.Errorf("lost %v", out)
		}
		whole(t, tables)
		got := draw(tables, findings)
		if k == 0 {
			first = got
		} else if got != first {
			t.Errorf("mapping %d of station, none, unknown: %s", k, cmp.Diff(strings.Split(first, "\n"), strings.Split(got, "\n")))
		}
	}
	return first
}
