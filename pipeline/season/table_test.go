package season

import (
	"bytes"
	"io"
	"testing"
)

type closing struct{ io.Writer }

func (closing) Close() error { return nil }

// No cell of the tables of results is taken for a formula by a spreadsheet.
func TestTablesAreForSpreadsheets(t *testing.T) {
	var b bytes.Buffer
	f, err := Create(func(string) (io.WriteCloser, error) { return closing{&b}, nil }).open("catch.csv", []Column{{Name: "site"}, {Name: "n"}})
	if err != nil {
		t.Fatal(err)
	}
	if err := f.row("=1+1", "-3.5"); err != nil {
		t.Fatal(err)
	}
	if err := f.close(); err != nil || b.String() != "site,n\n'=1+1,-3.5\n" {
		t.Errorf("%v, %q", err, b.String())
	}
}
