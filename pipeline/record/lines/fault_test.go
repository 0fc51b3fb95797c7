package lines

import (
	"encoding/csv"
	"io"
	"strings"
	"testing"
)

func TestFault(t *testing.T) {
	for text, want := range map[string]string{
		"a,b\nc \"d\",e\n":  "there is a quotation mark at character 3 in",
		"a,b\n\"c,d\ne,f\n": "a cell begins with a quotation mark but does not end with one;",
		"a,b\n\"c\"d,e\n":   "a cell begins with a quotation mark but does not end with one;",
		"a,b\nc\n":          "the line has more or fewer cells than headings;",
	} {
		_, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if line, said := Fault(err); line != 2 || !strings.HasPrefix(said, want) {
			t.Errorf("%q: line %d: %s", text, line, said)
		}
	}
	if line, said := Fault(io.ErrUnexpectedEOF); line != 0 || said != io.ErrUnexpectedEOF.Error() {
		t.Errorf("line %d: %s", line, said)
	}
}
