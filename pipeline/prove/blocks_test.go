package prove_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record/need"
)

// spoil changes a table in a way that reading by blocks has to get right.
// Lines count from 0.
type spoil struct {
	name   string
	file   string
	change func(lines []string) []string
	want   []string // rule, line and field of findings
}

func onLine(n int, change func(string) string) func([]string) []string {
	return func(lines []string) []string {
		lines[n] = change(lines[n])
		return lines
	}
}

func replace(n int, old, new string) func([]string) []string {
	return onLine(n, func(s string) string { return strings.Replace(s, old, new, 1) })
}

const core, extension = "occurrence.csv", "measurementorfact.csv"

// spoils go far into files of many blocks.
var spoils = []spoil{
	{"nothing", core, func(l []string) []string { return l }, nil},
	{"out of range", core, replace(4321, "51.25", "151.25"), []string{"value-out-of-range 4322 decimalLatitude"}},
	{"stray quotation mark", core, replace(3000, "Rana ", `Rana "`), []string{"text-quote-stray 3001 fieldsEnclosedBy"}},
	{"stray quotation mark, then a fault", core, func(l []string) []string {
		l[3000] = strings.Replace(l[3000], "Rana ", `Rana "`, 1)
		l[4500] = strings.Replace(l[4500], "51.25", "x", 1)
		return l
	}, []string{"text-quote-stray 3001 fieldsEnclosedBy", "value-not-number 4501 decimalLatitude"}},
	{"line break within a field", core, func(l []string) []string {
		l[2500] = strings.Replace(l[2500], "Rana luteiventris", "\"Rana\n\n\"\"lutei\"\"ventris\"", 1)
		l[4500] = strings.Replace(l[4500], "51.25", "x", 1)
		return l
	}, []string{"value-not-number 4503 decimalLatitude"}},
	{"never closed", core, replace(4000, "Rana luteiventris", `"Rana`), []string{"text-shape 4001 "}},
	{"other line ends", core, func(l []string) []string {
		for i := range l {
			l[i] += "\r"
		}
		return l
	}, []string{"line-end-differs 1 linesTerminatedBy"}},
	{"bare carriage returns", core, func(l []string) []string { return []string{strings.Join(l, "\r")} }, []string{"line-end-differs 1 linesTerminatedBy"}},
	{"blank line", core, onLine(4800, func(s string) string { return s + "\n" }), []string{"row-blank 4802 "}},
	{"not UTF-8", extension, replace(9001, ",snoutVentLength", ",snout\xffLength"), []string{"encoding-invalid 9002 measurementType"}},
	{"nothing of a database", extension, replace(9001, ",snoutVentLength", `,\N`), []string{"value-null 9002 measurementType"}},
	{"too few fields", extension, replace(7501, ",71,mm", ""), []string{"row-short 7502 "}},
	{"twice", core, func(l []string) []string { return slices.Insert(l, 4900, l[7]) }, []string{"id-twice 4901 id"}},
	{"in another order", extension, func(l []string) []string { slices.Reverse(l[1 : len(l)-1]); return l }, nil},
	{"lost", extension, replace(9000, "-", "_"), []string{"coreid-lost 9001 coreid"}},
	{"faults without end", extension, func(l []string) []string {
		for i := 1; i < len(l)-1; i++ {
			l[i] = strings.Replace(l[i], "2021-06-12", "12.6.2021", 1)
		}
		return l
	}, []string{"value-not-date 2 measurementDeterminedDate", "value-not-date 51 measurementDeterminedDate", "value-not-date 10001 measurementDeterminedDate"}},
	{"a row longer than a block", core, replace(2000, "Rana luteiventris", "Rana"+strings.Repeat(" luteiventris", 1<<17)), nil},
	{"no line end at the end", extension, func(l []string) []string { return l[:len(l)-1] }, nil},
}

// TestBlocks proves tables of many blocks with a fault far within: the fault is
// found where it stands, and the findings are the same however the rows are
// read, on any number of processors, with identifiers in memory or on disk.
func TestBlocks(t *testing.T) {
	made, _ := written(t, 5000)
	sound := filepath.Join(made, "darwin-core")
	for _, s := range spoils {
		t.Run(s.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.CopyFS(dir, os.DirFS(sound)); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(dir, s.file)
			b, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			spoilt := strings.Join(s.change(strings.Split(string(b), "\n")), "\n")
			if s.name != "nothing" && bytes.Equal(b, []byte(spoilt)) {
				t.Fatal("nothing was changed")
			}
			if err := os.WriteFile(path, []byte(spoilt), 0o644); err != nil {
				t.Fatal(err)
			}
			everyWay(t, dir, s.want)
		})
	}
}

func everyWay(t *testing.T, dir string, want []string) {
	t.Helper()
	rows := 0
	inTurn, err := prove.Path(context.Background(), dir, prove.Options{Visit: func(*prove.Row) error { rows++; return nil }})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range inTurn.Findings {
		got = append(got, fmt.Sprint(f.Rule, " ", f.At.Row, " ", f.Field))
	}
	for _, w := range want {
		if !slices.Contains(got, w) {
			t.Errorf("%s is not among %q", w, got)
		}
	}
	if len(want) == 0 && len(got) > 0 {
		t.Errorf("found %q, want nothing", got)
	}
	if read := inTurn.Parts[0].Rows + inTurn.Parts[1].Rows; rows != read || read < 9000 {
		t.Errorf("%d rows were shown, %d read", rows, read)
	}
	for i, processors := range []int{1, 2, 7} {
		for k, inMemory := range []int{0, 100} {
			if (i+k)%2 == 0 && need.Times(0, 1) == 0 {
				continue
			}
			before := runtime.GOMAXPROCS(processors)
			temporary := t.TempDir()
			blocks, err := prove.Path(context.Background(), dir, prove.Options{InMemory: inMemory, TempDir: temporary})
			runtime.GOMAXPROCS(before)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(inTurn, blocks); diff != "" {
				t.Errorf("on %d processors, %d identifiers in memory:\n%s", processors, inMemory, diff)
			}
			if left, _ := os.ReadDir(temporary); len(left) > 0 {
				t.Errorf("%d temporary files are left", len(left))
			}
		}
	}
}
