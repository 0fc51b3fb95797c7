package screen

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/record"
)

// marked makes a capture of an invented marked frog.
func marked(row int, date, sex, name, place, svl string) *record.Capture {
	c := frog(row, svl, "", "", "", "")
	for term, text := range map[string]string{"organismID": "MC-0417", "eventDate": date, "sex": sex, "scientificName": name, "locality": place} {
		c.Set(record.Value{Field: record.Of(term), Text: text, Verbatim: text}.At(record.Address{File: c.File, Row: row, Column: 5}))
	}
	return c
}

func TestRecaptures(t *testing.T) {
	const pipiens = "Lithobates pipiens"
	first := marked(2, "2021-05-03", "female", pipiens, "Tern Slough", "70.0")
	ceiling := 0.05
	limits := []Limit{{ScientificName: pipiens, Measurement: bodyLength, Unit: "mm/d", Maximum: &ceiling}}
	for _, c := range []struct {
		name   string
		second *record.Capture
		limits []Limit
		rule   string
		level  record.Level
	}{
		{"as before", marked(9, "2021-06-03", "female", pipiens, "Tern Slough", "70.4"), nil, "", 0},
		{"grown", marked(9, "2021-06-03", "female", pipiens, "Tern Slough", "80.0"), nil, "", 0},
		{"grown too fast for the taxon", marked(9, "2021-06-03", "female", pipiens, "Tern Slough", "80.0"), limits, "recapture-grown", record.Warning},
		{"grown in three days", marked(9, "2021-05-06", "female", pipiens, "Tern Slough", "80.0"), nil, "recapture-grown", record.Warning},
		{"shrunk a little more than error", marked(9, "2021-06-03", "female", pipiens, "Tern Slough", "66.0"), nil, "recapture-shrunk", record.Warning},
		{"shrunk within error", marked(9, "2021-06-03", "female", pipiens, "Tern Slough", "67.0"), nil, "", 0},
		{"sex", marked(9, "2021-06-03", "male", pipiens, "Tern Slough", "70.1"), nil, "recapture-sex", record.Warning},
		{"sex not told", marked(9, "2021-06-03", "", pipiens, "Tern Slough", "70.1"), nil, "", 0},
		{"name", marked(9, "2021-06-03", "female", "Lithobates clamitans", "Tern Slough", "70.1"), nil, "recapture-species", record.Warning},
		{"two places", marked(9, "2021-05-03", "female", pipiens, "Beaver Pond", "70.1"), nil, "recapture-places", record.Note},
		{"another place another day", marked(9, "2021-05-09", "female", pipiens, "Beaver Pond", "70.1"), nil, "", 0},
		{"another animal", marked(9, "2021-06-03", "male", "Lithobates clamitans", "Tern Slough", "51.0"), nil, "mark-reused", record.Warning},
		{"no full date", marked(9, "2021", "female", pipiens, "Tern Slough", "80.0"), nil, "", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			fs := of(Screen([]*record.Capture{c.second, first}, c.limits, Defaults()), "recapture-grown", "recapture-shrunk",
				"recapture-sex", "recapture-species", "recapture-places", "mark-reused")
			if c.rule == "" {
				if len(fs) > 0 {
					t.Errorf("got %+v", fs)
				}
				return
			}
			if len(fs) != 1 || fs[0].Rule != c.rule || fs[0].Level != c.level {
				t.Errorf("got %+v", fs)
			}
		})
	}
}

// Where the survey has replicates, they say how well lengths repeat.
func TestRecapturesAreJudgedByTheSurveysOwnError(t *testing.T) {
	careful := func(apart float64) []*record.Capture {
		var all []*record.Capture
		for i := range 30 {
			c := frog(20+i, fmt.Sprintf("%.1f", 60+float64(i)/2), "", "", "", "")
			replicate(&c.Readings[0], 1)
			replicate(addReading(c, bodyLength, fmt.Sprintf("%.1f", (60+float64(i)/2)*(1+apart*float64(i%3))), "mm", 11), 2)
			all = append(all, c)
		}
		return append(all, marked(2, "2021-05-03", "female", "Lithobates pipiens", "", "70.0"),
			marked(3, "2021-06-03", "female", "Lithobates pipiens", "", "67.0"))
	}
	if fs := of(Screen(careful(0.004), nil, Defaults()), "recapture-shrunk"); len(fs) != 1 {
		t.Errorf("careful hands: %+v", fs)
	}
	if fs := of(Screen(careful(0.04), nil, Defaults()), "recapture-shrunk"); len(fs) != 0 {
		t.Errorf("rough hands: %+v", fs)
	}
}

// Young grow faster than what is believed of others: where many do, their own growth
// is what one is held against, and a decimal that slipped still stands out.
func TestYoungGrowAsTheirKindDoes(t *testing.T) {
	for _, c := range []struct {
		name string
		last string // length of the last young at its second capture
		want int
	}{{"all as young do", "36.1", 0}, {"a slip", "361", 1}} {
		var captures []*record.Capture
		for i := range 40 {
			first, second := fmt.Sprintf("%.1f", 22+0.1*float64(i%7)), fmt.Sprintf("%.1f", 35+0.2*float64(i%9))
			if i == 39 {
				second = c.last
			}
			for k, svl := range []string{first, second} {
				one := marked(2+2*i+k, fmt.Sprintf("2021-05-%02d", 3+8*k), "", "Lithobates pipiens", "Tern Slough", svl)
				mark := fmt.Sprintf("MC-%04d", 100+i)
				one.Set(record.Value{Field: record.Of("organismID"), Text: mark, Verbatim: mark}.At(record.Address{File: one.File, Row: one.Row, Column: 5}))
				captures = append(captures, one)
			}
		}
		if fs := of(Screen(captures, nil, Defaults()), "recapture-grown", "mark-reused"); len(fs) != c.want {
			t.Errorf("%s: %d findings, want %d: %+v", c.name, len(fs), c.want, fs)
		}
	}
}
