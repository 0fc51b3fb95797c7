package screen

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// copyOf returns a deep copy of a capture in another row.
func copyOf(c *record.Capture, row int) *record.Capture {
	d := &record.Capture{ID: c.ID + "-copy", Key: c.Key + "b", File: c.File, Row: row, Session: c.Session}
	for _, v := range c.Values {
		v.Row = int32(row)
		d.Set(v)
	}
	for _, r := range c.Readings {
		r.Row = int32(row)
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
		{"another day", func(d *record.Capture) { d.Set(record.Value{Field: record.Of("eventDate"), Text: "2021-09-30"}) }, ""},
		{"another taxon", func(d *record.Capture) { d.Set(record.Value{Field: record.Of("scientificName"), Text: "Rana rara"}) }, ""},
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

// What else stands in the two rows tells two animals from one entered twice.
func TestDuplicatesByTheRestOfTheRow(t *testing.T) {
	weighing := func(gross, tare string) func(*record.Capture) {
		return func(c *record.Capture) {
			c.Weighing = nil
			c.Readings = slices.DeleteFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == bodyMass })
			setWeighing(c, gross, tare, 0.5)
		}
	}
	say := func(term, text string) func(*record.Capture) {
		return func(c *record.Capture) { c.Set(record.Value{Field: record.Of(term), Text: text}) }
	}
	few := func(c *record.Capture) { c.Readings = c.Readings[:3] }
	for _, c := range []struct {
		name         string
		first, again []func(*record.Capture)
		want         int
	}{
		{"few readings and nothing else", []func(*record.Capture){few}, nil, 1},
		{"other weighings and marks", []func(*record.Capture){few, weighing("40.5", "2.5"), say("organismID", "M1")},
			[]func(*record.Capture){weighing("38.0", "2.0"), say("organismID", "M2")}, 0},
		{"other remarks, times and places", []func(*record.Capture){few, say("occurrenceRemarks", "under a log"), say("eventTime", "21:10"), say("locality", "A")},
			[]func(*record.Capture){say("occurrenceRemarks", "in reeds"), say("eventTime", "22:40"), say("locality", "B")}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := simulate(60, 12)
			i := slices.IndexFunc(all, func(c *record.Capture) bool { return len(lengthsOf(c)) == 7 })
			for _, do := range c.first {
				do(all[i])
			}
			d := copyOf(all[i], 500)
			d.Weighing = all[i].Weighing
			for _, do := range c.again {
				do(d)
			}
			if fs := of(Screen(append(all, d), nil, Defaults()), "capture-twice", "capture-nearly-twice"); len(fs) != c.want {
				t.Errorf("got %+v", fs)
			}
		})
	}
}

// A row like the one above it is more likely entered twice than one far below, among
// many captures of a taxon without a date.
func TestDuplicatesInTheNextRow(t *testing.T) {
	for row, want := range map[int]int{602: 1, 900: 0} {
		all := simulateKinds(600, 12, frogs[:1])
		for _, c := range all {
			c.Set(record.Value{Field: record.Of("eventDate")})
			c.Readings = slices.DeleteFunc(c.Readings, func(r record.Reading) bool {
				return r.Measurement != "snoutVentLength" && r.Measurement != "tibiaLength" && r.Measurement != "headWidth"
			})
		}
		last := all[len(all)-1]
		if fs := of(Screen(append(all, copyOf(last, row)), nil, Defaults()), "capture-twice"); len(fs) != want || len(last.Readings) != 3 {
			t.Errorf("row %d: got %+v", row, fs)
		}
	}
}
