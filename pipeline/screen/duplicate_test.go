package screen

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// copyOf gives a deep copy of a capture in another row.
func copyOf(c *record.Capture, row int) *record.Capture {
	d := &record.Capture{ID: c.ID + "-copy", Key: c.Key + "b", File: c.File, Row: row, Session: c.Session}
	for _, v := range c.Values {
		v.From.Row = row
		d.Set(v)
	}
	for _, r := range c.Readings {
		r.From.Row = row
		d.Readings = append(d.Readings, r)
	}
	return d
}

func of(fs []record.Finding, rules ...string) []record.Finding {
	return slices.DeleteFunc(slices.Clone(fs), func(f record.Finding) bool { return !slices.Contains(rules, f.Rule) })
}

func TestDuplicates(t *testing.T) {
	for _, c := range []struct {
		name  string
		alter func(d *record.Capture)
		rule  string // "" for no finding
	}{
		{"the same", func(*record.Capture) {}, "capture-twice"},
		{"one reading else", func(d *record.Capture) { rewrite(d, 1, "99.9") }, "capture-nearly-twice"},
		{"two readings else", func(d *record.Capture) { rewrite(d, 1, "99.9"); rewrite(d, 2, "88.8") }, ""},
		{"another day", func(d *record.Capture) { d.Set(record.Value{Term: "eventDate", Text: "2021-09-30"}) }, ""},
		{"another taxon", func(d *record.Capture) { d.Set(record.Value{Term: "scientificName", Text: "Rana rara"}) }, ""},
		{"two readings only", func(d *record.Capture) { d.Readings = d.Readings[:2] }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := simulate(60, 12)
			i := slices.IndexFunc(all, func(c *record.Capture) bool { return len(lengthsOf(c)) == 7 })
			d := copyOf(all[i], 500)
			c.alter(d)
			fs := of(Screen(append(all, d), nil, Defaults()), "capture-twice", "capture-nearly-twice")
			if c.rule == "" {
				if len(fs) > 0 {
					t.Errorf("got %+v", fs)
				}
				return
			}
			if len(fs) != 1 || fs[0].Rule != c.rule || fs[0].At.Row != 500 || fs[0].Also[0].Row != all[i].Row {
				t.Errorf("got %+v", fs)
			}
		})
	}
}
