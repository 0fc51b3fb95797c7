package report

import (
	"spadefoot/pipeline/report/findings"
	"testing"
)

func TestShort(t *testing.T) {
	for reason, want := range map[string]string{
		"the mass is too large: it is 3 times that of its group; look": "the mass is too large",
		`the genus of "P. bocagei" is abbreviated; name a checklist`:   `the genus of "P. bocagei" is abbreviated`,
		`"a; b": no heading. Look`:                                     `"a; b"`,
		"short":                                                        "short",
		`an open "quote. here`:                                         `an open "quote. here`,
	} {
		if got := findings.Short(reason); got != want {
			t.Errorf("%q: %q", reason, got)
		}
	}
}
