package sheet

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// flowed reads a text in chunks of a size drawn anew each time.
func flowed(text []byte, o Options, size func() int) (record.Sheet, []record.Finding, *Flow, error) {
	s := record.Sheet{File: "frogs.csv"}
	f, err := flowFrom("frogs.csv", bytes.NewReader(text), int64(len(text)), o)
	if err != nil {
		return s, nil, f, err
	}
	found := f.Findings()
	for {
		rows, err := f.Next(size())
		found = append(found, f.Findings()...)
		s.Rows = append(s.Rows, rows...)
		if err == io.EOF {
			record.SortFindings(found)
			return s, found, f, nil
		}
		if err != nil {
			return s, found, f, err
		}
	}
}

// messy makes a long text with all that makes rows end elsewhere than lines.
func messy(r *rand.Rand, lines int) []byte {
	var b bytes.Buffer
	b.WriteString("Tag,Site,Notes\n")
	for i := range lines {
		switch r.IntN(12) {
		case 0:
			b.WriteString(strings.Repeat("\n", 1+r.IntN(4)))
		case 1:
			fmt.Fprintf(&b, "%d,\"over\nlines, %d\",wet\n", i, i)
		case 2:
			fmt.Fprintf(&b, "%d,5\" pool,\n", i)
		case 3:
			fmt.Fprintf(&b, "%d,short\n", i)
		case 4:
			fmt.Fprintf(&b, "%d,\"lost tag,x\n", i)
		case 5:
			fmt.Fprintf(&b, "%d,Île aux Cèdres,\"said \"\"wet\"\"\"\n", i)
		default:
			fmt.Fprintf(&b, "%d,Site %d,%s\n", i, i%7, strings.Repeat("calling ", r.IntN(30)))
		}
	}
	return b.Bytes()
}

// A flow gives the rows, the findings and the cells of Read, however it is cut.
func TestFlowReadsAsRead(t *testing.T) {
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 1))
		text := messy(r, 1+r.IntN(30_000))
		want, found, err := ReadText("frogs.csv", bytes.NewReader(text), Options{})
		must(t, err)
		most := 1 + r.IntN(9000)
		got, raisedNow, f, err := flowed(text, Options{}, func() int { return 1 + r.IntN(most) })
		must(t, err)
		if !reflect.DeepEqual(want, got) || !reflect.DeepEqual(found, raisedNow) {
			t.Fatalf("seed %d: %s", seed, cmp.Diff(want, got)+cmp.Diff(found, raisedNow))
		}
		if f.Sum() != sha256.Sum256(text) {
			t.Errorf("seed %d: another sum", seed)
		}
		if _, err := f.Next(1); err != io.EOF {
			t.Errorf("seed %d: %v behind the end", seed, err)
		}
	}
}

// A byte that contradicts the encoding far down ends the reading at its place.
func TestFlowNamesTheByteThatContradicts(t *testing.T) {
	text := []byte("Tag,Site\n1,Île\n" + strings.Repeat("2,Pond\n", 100_000) + "3,Montr\xe9al\n4,x\n")
	_, _, _, err := flowed(text, Options{}, func() int { return 5000 })
	var e *Error
	if !errors.As(err, &e) || e.Row != 100_003 || e.Column != 2 {
		t.Fatalf("got %v", err)
	}
}

func TestFlowSumsBehindTheEndMark(t *testing.T) {
	text := []byte("Tag,SVL\nA1,5\n\x1a")
	s, _, f, err := flowed(text, Options{}, func() int { return 10 })
	must(t, err)
	if f.Sum() != sha256.Sum256(text) || len(s.Rows) != 2 {
		t.Errorf("%v, %x", texts(s), f.Sum())
	}
}

func TestOpen(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.xls")
	must(t, os.WriteFile(path, []byte("Tag\tSVL\nA1\t5\n"), 0o600))
	f, found, err := Open("a.xls", path, Options{})
	must(t, err)
	defer f.Close()
	if d := cmp.Diff([]string{ruleKind, ruleSeparator}, raised(found)); d != "" {
		t.Error(d)
	}
	rows, err := f.Next(5)
	must(t, err)
	if len(rows) != 2 || rows[1].Cells[1].Text != "5" {
		t.Errorf("%v", rows)
	}
	if _, _, err := Open("s", filepath.Join(dir, "a.xls"), Options{}); err != nil {
		t.Errorf("a path that ends in the letters of the name: %v", err)
	}
	if is, err := IsText("a.xls", path); !is || err != nil {
		t.Errorf("IsText: %v, %v", is, err)
	}
	if _, _, err := Open("frogs.ods", fixture(t, "frogs.ods"), Options{}); err == nil || !strings.Contains(err.Error(), "workbook") {
		t.Errorf("got %v", err)
	}
	if _, _, err := Open("b.csv", filepath.Join(dir, "b.csv"), Options{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	if _, _, err := Open("a.xls", path, Options{Tabs: []string{"Spring"}}); err == nil || !strings.Contains(err.Error(), "tabs") {
		t.Errorf("got %v", err)
	}
}

func BenchmarkFlow(b *testing.B) {
	text := benchSheet(b)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		f, err := flowFrom("t.csv", bytes.NewReader(text), int64(len(text)), Options{})
		must(b, err)
		for {
			if _, err := f.Next(8192); err == io.EOF {
				break
			} else {
				must(b, err)
			}
		}
	}
}
