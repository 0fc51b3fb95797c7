package pipeline

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/remedy"
)

// A table of remedies that somebody else writes between reading and writing stays
// as they wrote it.
func TestATableOfRemediesIsNeverWrittenOverUnseen(t *testing.T) {
	for _, was := range []string{"", "file,row,column,found,action,replacement,who,when,why\n"} {
		folder := t.TempDir()
		if err := os.CopyFS(folder, os.DirFS(filepath.Join("..", "testdata", "demo"))); err != nil {
			t.Fatal(err)
		}
		if was != "" {
			writeText(t, folder, remedy.FileName, was)
		}
		w, err := start(folder, Options{proposing: true})
		if err != nil {
			t.Fatal(err)
		}
		theirs := "file,row,column,found,action,replacement,who,when,why\nseason.csv,4,B,x,clear,,I. Varga,2024-09-02,by hand\n"
		writeText(t, folder, remedy.FileName, theirs)
		var changed *ChangedError
		if err := w.rewriteRemedies(nil); !errors.As(err, &changed) || !strings.Contains(err.Error(), "remedies.csv was changed by somebody else") {
			t.Errorf("written over %q: %v", was, err)
		}
		if now := readFile(t, folder, remedy.FileName); string(now) != theirs {
			t.Errorf("the file holds %q", now)
		}
	}
}
