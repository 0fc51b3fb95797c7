package lines

import (
	"regexp"
	"testing"
)

func TestDefused(t *testing.T) {
	for cell, want := range map[string]string{
		"=1+1": "'=1+1", "@x": "'@x", "+a": "'+a", "-a": "'-a", "\t=1": "'\t=1", "'=1": "''=1", "''=1": "'''=1", "-12.5 mm": "'-12.5 mm", "-1+1": "'-1+1",
		"-12.5": "-12.5", "+3": "+3", "-3,5": "-3,5", "-1e-3": "-1e-3", "-": "-", "--": "--", "": "", "'": "'", "'x": "'x", "x=1": "x=1", "'-5": "''-5", "45": "45",
	} {
		if got := Defused(cell); got != want {
			t.Errorf("%q: got %q, want %q", cell, got, want)
		}
		if got := Armed(want); got != cell {
			t.Errorf("%q: read back as %q", cell, got)
		}
		if got := string(AppendCell(nil, []byte(cell))); got != string(AppendField(nil, want)) {
			t.Errorf("%q: as a field %q", cell, got)
		}
	}
	for _, cell := range []string{"'-5", "'x", "'"} { // that no table of ours has so
		if got := Armed(cell); got != cell {
			t.Errorf("%q: became %q", cell, got)
		}
	}
}

// numberOrSigns is what harmless cells are.
var numberOrSigns = regexp.MustCompile(`^(?:[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?|[+-]+)$`)

func TestHarmless(t *testing.T) {
	for _, cell := range []string{"", "-", "+-", "5", "-5", "+5.2", "-5,", "-.5", "-5.2e3", "-5e+10", "-5e", "-5e+", "-5x", "--5", "1e5", "e5", "-5.2.3", "- 5", "-5\n"} {
		if got, want := harmless(cell), numberOrSigns.MatchString(cell); got != want {
			t.Errorf("%q: %v, want %v", cell, got, want)
		}
	}
}

// What is written is read back, and no spreadsheet takes it for a formula.
func FuzzDefused(f *testing.F) {
	for _, s := range []string{"=1", "'=1", "-5", "'-5", "\tx", "", "+-"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, cell string) {
		written := Defused(cell)
		if got := Armed(written); got != cell {
			t.Errorf("%q: written as %q, read back as %q", cell, written, got)
		}
		if written != "" && beginsFormula(written[0]) && !numberOrSigns.MatchString(written) {
			t.Errorf("%q is written as %q", cell, written)
		}
	})
}
