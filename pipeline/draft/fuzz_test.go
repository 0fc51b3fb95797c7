package draft_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/draft"
)

// FuzzDraftRuns drafts any text as a sheet and runs what comes out: a draft is
// refused with a reason, or it runs untouched and no row is lost.
func FuzzDraftRuns(f *testing.F) {
	for _, name := range []string{"demo/june-2024-reyes.csv", "notebook/sheets/carnet-1994.csv"} {
		b, err := os.ReadFile(filepath.Join("..", "..", "testdata", filepath.FromSlash(name)))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b[:700])
	}
	f.Add([]byte("No,SVL,SVL,Sex,Sex\n1,61,61.5,M,F\n2,58,58.5,F,M\n"))
	f.Add([]byte("Site: Pond\nNo,Date,SVL (mm),SVL (in)\n1,3 May 91,61,2 3/8\n\"\",\"\"\"\",58,\n\nMean,,60\n"))
	f.Add([]byte("Frog no,1,2,3\nSVL,60,61,58\nMass,22,25,19\nSite,A,A,B\n"))
	f.Add([]byte("Field No,Trait,Value,Unit\n1,SVL,61,mm\n1,gross,30,g\n1,tare,5,g\n2,SVL,58,mm\n"))
	f.Fuzz(func(t *testing.T, sheet []byte) {
		if len(sheet) > 4000 {
			return
		}
		dir := t.TempDir()
		put(t, dir, "sheet.csv", string(sheet))
		folder := filepath.Join(dir, "survey")
		d, err := draft.Write(context.Background(), []string{filepath.Join(dir, "sheet.csv")}, folder, draft.Options{})
		if err != nil {
			var input *pipeline.InputError
			if !errors.As(err, &input) {
				t.Fatalf("%T %v", err, err)
			}
			return
		}
		r, err := pipeline.Run(context.Background(), folder, filepath.Join(dir, "out"), pipeline.Options{})
		if err != nil {
			text, _ := os.ReadFile(filepath.Join(folder, d.Sheets[0].Mapping))
			t.Fatalf("%v\n%s", err, text)
		}
		if r.Counts.Occurrences != r.Counts.Captures || r.Counts.Captures > r.Counts.TableRows {
			t.Fatalf("%+v", r.Counts)
		}
	})
}
