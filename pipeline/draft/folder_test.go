package draft

import (
	"testing"

	"spadefoot/pipeline/record"
)

// TestAwaitsRows tells a form for the next season from an empty sheet.
func TestAwaitsRows(t *testing.T) {
	book, other := &form{}, &form{}
	rows := func(n int) []record.Table { return []record.Table{{Rows: make([]record.TableRow, n)}} }
	for _, c := range []struct {
		name string
		refs []*entry
		want bool
	}{
		{"a form of the season before", []*entry{{form: book, tables: rows(3)}, {form: book, tables: rows(0)}}, true},
		{"both with rows", []*entry{{form: book, tables: rows(3)}, {form: book, tables: rows(1)}}, false},
		{"none with rows", []*entry{{form: book, tables: rows(0)}, {form: book, tables: rows(0)}}, false},
		{"another form", []*entry{{form: book, tables: rows(3)}, {form: other, tables: rows(0)}}, false},
		{"legends have no form", []*entry{{form: book, tables: rows(3)}, {tables: rows(0)}, {tables: rows(2)}}, false},
	} {
		if got := (&drafting{refs: c.refs}).awaitsRows(); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
	}
}
