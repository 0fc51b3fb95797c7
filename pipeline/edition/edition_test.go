package edition

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

const (
	runJSON      = `{"counts": {"withheld": 0}, "inputs": [{"file": "pond.csv", "sha256": "aa"}]}`
	findingsJSON = `{"counts": {}, "findings": []}`
	table        = "capture,file,sheet,row,errors,warnings,undecided,sex,snoutVentLength (mm),scaledMassIndex (g),occurrenceID\n"
)

// folder is an output folder of a run with these files.
func folder(t *testing.T, run, found, captures string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"run.json": run, "findings.json": found, capturesFile: captures} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func edition(t *testing.T, found, captures string) *Edition {
	t.Helper()
	e, err := Read(folder(t, runJSON, found, captures))
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestCapturesCompared(t *testing.T) {
	before := table + "MC1,pond.csv,,2,0,0,,female,55.8,29.9,id-1\nMC2,pond.csv,,3,0,0,,male,60.1,31.0,id-2\n"
	for _, c := range []struct {
		name, now     string
		added         map[string]int
		altered, gone int
	}{
		{"the same", before, nil, 0, 0},
		{"rows moved, other counts and comparisons", table + "MC2,pond.csv,,2,1,0,,male,60.1,12.0,id-2\nMC1,pond.csv,,9,0,2,,female,55.8,,id-1\n", nil, 0, 0},
		{"identifiers as they were once", table + "MC1,pond.csv,,2,0,0,,female,55.8,29.9,urn:uuid:id-1\nMC2,pond.csv,,3,0,0,,male,60.1,31.0,id-2\n", nil, 0, 0},
		{"another value", table + "MC1,pond.csv,,2,0,0,,female,58.8,29.9,id-1\nMC2,pond.csv,,3,0,0,,male,60.1,31.0,id-2\n", nil, 1, 0},
		{"values that changed places", table + "MC1,pond.csv,,2,0,0,,55.8,female,29.9,id-1\nMC2,pond.csv,,3,0,0,,male,60.1,31.0,id-2\n", nil, 1, 0},
		{"a value gone", table + "MC1,pond.csv,,2,0,0,,,55.8,29.9,id-1\nMC2,pond.csv,,3,0,0,,male,60.1,31.0,id-2\n", nil, 1, 0},
		{"one gone, two new", table + "MC2,pond.csv,,3,0,0,,male,60.1,31.0,id-2\nMC3,pond.csv,,4,0,0,,,,,id-3\nMC4,creek.csv,,2,0,0,,,,,id-4\n", map[string]int{"pond.csv": 1, "creek.csv": 1}, 0, 1},
		{"all gone", table, nil, 0, 2},
		{"a new capture brings a column of what was written", strings.Replace(table, "sex,", "sex,sex as written,", 1) +
			"MC1,pond.csv,,2,0,0,,female,female,55.8,29.9,id-1\nMC2,pond.csv,,3,0,0,,male,,60.1,31.0,id-2\nMC3,pond.csv,,4,0,0,,female,f,,,id-3\n", map[string]int{"pond.csv": 1}, 0, 0},
		{"written otherwise, to the same effect", strings.Replace(table, "(mm),", "(mm),snoutVentLength as written,", 1) +
			"MC1,pond.csv,,2,0,0,,female,55.8,5.58 cm,29.9,id-1\nMC2,pond.csv,,3,0,0,,male,60.1,60.1,31.0,id-2\n", nil, 1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := edition(t, findingsJSON, c.now).Since(edition(t, findingsJSON, before))
			if c.added == nil {
				c.added = map[string]int{}
			}
			if !reflect.DeepEqual(got.Added, c.added) || got.Altered != c.altered || got.Gone != c.gone {
				t.Errorf("%v added, %d altered, %d gone; want %v, %d, %d", got.Added, got.Altered, got.Gone, c.added, c.altered, c.gone)
			}
		})
	}
}

// list is the list of findings on one value each.
func list(fs ...string) string {
	return `{"counts": {}, "findings": [` + strings.Join(fs, ",") + `]}`
}

func found(level, capture string, row int, value, suggestion string) string {
	return fmt.Sprintf(`{"rule": "value-off-line", "level": %q, "at": {"file": "pond.csv", "row": %d, "column": 9}, "capture": %q, "field": "snoutVentLength", "value": %q, "reason": "too large: by far", "suggestion": %q, "figures": [{"name": "n", "value": 3}]}`,
		level, row, capture, value, suggestion)
}

func TestFindingsCompared(t *testing.T) {
	noKey := func(row int) string { return fmt.Sprintf("(pond.csv, row %d)", row) }
	before := list(found("error", "MC1", 2, "558", "55.8"), found("warning", noKey(3), 3, "601", "60.1"))
	captures := func(row int) string {
		return table + "MC1,pond.csv,,2,0,0,,,558,,id-1\n" + fmt.Sprintf("\"%s\",pond.csv,,%d,0,0,,,601,,id-2\n", noKey(row), row)
	}
	for _, c := range []struct {
		name, now string
		row       int // of the capture without a key
		want      [3][]string
	}{
		{"the same", before, 3, [3][]string{}},
		{"a row was put in", list(found("error", "MC1", 2, "558", "55.8"), found("warning", noKey(4), 4, "601", "60.1")), 4, [3][]string{}},
		{"corrected", list(found("warning", noKey(3), 3, "601", "60.1")), 3, [3][]string{nil, {"MC1"}, nil}},
		{"another suggestion", list(found("error", "MC1", 2, "558", "58.5"), found("warning", noKey(3), 3, "601", "60.1")), 3, [3][]string{nil, nil, {"MC1"}}},
		{"another level", list(found("warning", "MC1", 2, "558", "55.8"), found("warning", noKey(3), 3, "601", "60.1")), 3, [3][]string{nil, nil, {"MC1"}}},
		{"another value", list(found("error", "MC1", 2, "588", "58.8"), found("warning", noKey(3), 3, "601", "60.1")), 3, [3][]string{{"MC1"}, {"MC1"}, nil}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := edition(t, c.now, captures(c.row)).Since(edition(t, before, captures(3)))
			for i, fs := range [][]record.Finding{got.FindingsNew, got.FindingsGone, got.FindingsChanged} {
				var about []string
				for _, f := range fs {
					about = append(about, f.Capture)
				}
				if !reflect.DeepEqual(about, c.want[i]) {
					t.Errorf("%s: %v, want %v", []string{"new", "gone", "changed"}[i], about, c.want[i])
				}
			}
		})
	}
}

func TestRead(t *testing.T) {
	if e, err := Read(t.TempDir()); e != nil || err != nil {
		t.Errorf("a folder without a run: %v, %v", e, err)
	}
	for _, c := range []struct{ name, run, found, captures, says string }{
		{"no JSON", "{", findingsJSON, table, "run.json"},
		{"findings that end too early", runJSON, findingsJSON[:len(findingsJSON)-3], table, "findings.json"},
		{"no list of findings", runJSON, `{"counts": {}}`, table, `no list "findings"`},
		{"findings that are no list", runJSON, `{"findings": 3}`, table, "3 where [ was expected"},
		{"no column of identifiers", runJSON, findingsJSON, "capture,file,sheet,row\n", "no column occurrenceID"},
		{"a short row", runJSON, findingsJSON, table + "MC1,pond.csv\n", "line 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := Read(folder(t, c.run, c.found, c.captures)); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v, want %q", err, c.says)
			}
		})
	}
}

// No table makes the reader fail in another way than with an error, and each
// differs from itself in nothing.
func FuzzCaptures(f *testing.F) {
	f.Add(table + "MC1,pond.csv,,2,0,0,,female,55.8,29.9,id-1\n")
	f.Add(strings.Replace(table, "sex,", "sex as written,sex,", 1) + "\"(a, row 2)\",a,,2,0,0,,\"'=1\",f,,,urn:uuid:\n")
	f.Fuzz(func(t *testing.T, text string) {
		read := func() captures {
			cs, err := digestCaptures(csv.NewReader(strings.NewReader(text)), map[string]string{"(a, row 2)": ""})
			if err != nil {
				t.Skip()
			}
			return cs
		}
		c := Changes{Added: map[string]int{}}
		if c.captures(read(), read()); !c.None() {
			t.Errorf("%+v", c)
		}
	})
}
