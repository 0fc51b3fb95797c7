package report

import (
	"cmp"
	"strings"

	"spadefoot/pipeline/record"
)

// appendUndecided lists what was written and nobody decided on: "tibiaLength:
// 73,9 (value-off-line)", each cell once.
func appendUndecided(b []byte, c *record.Capture, readings []*record.Reading) []byte {
	var seen map[record.Address]bool
	add := func(name, written, rule string, from record.Address) {
		if written = strings.TrimSpace(written); written == "" || seen[from] {
			return
		}
		if seen == nil {
			seen = map[record.Address]bool{}
		}
		seen[from] = true
		if len(b) > 0 {
			b = append(b, " | "...)
		}
		b = append(append(append(b, name...), ": "...), written...)
		b = append(append(append(b, " ("...), rule...), ')')
	}
	for i := range c.Values {
		if v := &c.Values[i]; v.Undecided != "" {
			add(v.Term, v.Verbatim, v.Undecided, v.From())
		}
	}
	for _, r := range readings {
		if r.Undecided != "" && !r.Derived {
			add(cmp.Or(r.Measurement, "mass"), r.Verbatim, r.Undecided, r.From())
		}
	}
	return b
}
