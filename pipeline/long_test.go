package pipeline

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// A survey that is walked in parts, all of it in one part, comes to the very
// same files as one that is held in memory; in smaller parts the archive is the
// same.
func TestLongWalkAgreesWithTheShort(t *testing.T) {
	for _, folder := range []string{"demo", "notebook"} {
		t.Run(folder, func(t *testing.T) {
			survey := filepath.Join("..", "testdata", folder)
			short := t.TempDir()
			want, err := Run(context.Background(), survey, short, Options{Version: "test", Whole: true})
			if err != nil {
				t.Fatal(err)
			}
			for name, o := range map[string]Options{
				"one part": {Version: "test", wholeRows: 1, partRows: 1 << 20},
				"parts":    {Version: "test", wholeRows: 1, partRows: 40},
			} {
				long := t.TempDir()
				got, err := Run(context.Background(), survey, long, o)
				if err != nil {
					t.Fatal(name, err)
				}
				if got.Captures != nil {
					t.Fatal(name, "the survey was held in memory")
				}
				if got.Counts.Occurrences != want.Counts.Occurrences || got.Counts.Measurements != want.Counts.Measurements {
					t.Errorf("%s: %+v, want %+v", name, got.Counts, want.Counts)
				}
				if name == "one part" {
					sameFiles(t, short, long)
				}
			}
		})
	}
}

func sameFiles(t *testing.T, want, got string) {
	t.Helper()
	err := filepath.WalkDir(want, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, _ := filepath.Rel(want, path)
		a, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		b, err := os.ReadFile(filepath.Join(got, name))
		if err != nil {
			return err
		}
		switch name {
		case "report.html":
			a, b = entries(a), entries(b)
		case "findings.json":
			a, b = rounded(a), rounded(b)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs: %s", name, firstDifference(a, b))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

var number = regexp.MustCompile(`-?\d+\.\d{6,}(e-?\d+)?`)

// rounded writes figures to nine digits: animals are summed up in the order in
// which they are read, not in that of their sheets' names.
func rounded(text []byte) []byte {
	return number.ReplaceAllFunc(text, func(s []byte) []byte {
		v, _ := strconv.ParseFloat(string(s), 64)
		return strconv.AppendFloat(nil, v, 'g', 9, 64)
	})
}

var row = regexp.MustCompile(`(?s)<dl class="row.*?</dl>`)

// entries is the page without the rows beside its entries, of which the long
// walk shows the cells that were read.
func entries(page []byte) []byte { return row.ReplaceAll(page, nil) }

func firstDifference(a, b []byte) string {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return "at byte " + string(rune('0'+n%10)) + "\n" + string(a[max(0, n-80):min(len(a), n+120)]) + "\n" + string(b[max(0, n-80):min(len(b), n+120)])
}
