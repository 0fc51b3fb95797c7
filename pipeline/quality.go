package pipeline

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/lanes"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
)

// judgeQuality lets the published quality tests judge the rows that would be
// published, before anything is: with defaults, and with what the data set
// says of every row. A failing test on a term of the row is a finding with the
// label of the test as reference. What is empty is not doubted. One cause is
// one finding, in however many rows it shows.
func (w *way) judgeQuality() {
	rows, params := darwincore.NewMaker(w.dataset(), nil), quality.Params{Today: w.today}
	g := gatherer{first: map[cause]int{}}
	_ = lanes.InOrder(slices.Values(w.captures), func(cs []*record.Capture) (out []doubt) {
		for _, c := range cs {
			says := quality.Record(rows.Occurrence(c).Get)
			for _, f := range quality.Findings(says, params, c.Address(), func(string) bool { return true }) {
				if strings.EqualFold(f.Suggestion, f.Value) {
					continue // "male" for "Male": Darwin Core's own examples are in lower case
				}
				f.Capture = c.Key
				f, from := w.originOf(f, c, says)
				out = append(out, doubt{f, from})
			}
		}
		return out
	}, func(doubts []doubt) error {
		for _, d := range doubts {
			g.add(d.finding, d.from)
		}
		return nil
	})
	w.find(w.unsaid(g.findings())...)
}

// unsaid leaves out what was said of a date or a position already: a date
// outside the survey is out of the range of years as well, and a place far off
// is in another country.
func (w *way) unsaid(fs []record.Finding) []record.Finding {
	said := map[record.Address]bool{}
	for _, f := range w.findings {
		if f.Level >= record.Warning && (strings.HasPrefix(f.Rule, "date-") || strings.HasPrefix(f.Rule, "position-")) {
			said[f.At] = true
		}
	}
	return slices.DeleteFunc(fs, func(f record.Finding) bool { return said[f.At] })
}

// doubt is a finding with where its cause stands.
type doubt struct {
	finding record.Finding
	from    origin
}

// origin says where a published text comes from, nearest to the row first.
type origin uint8

const (
	ownCell     origin = iota // of a cell of the row
	otherTable                // of a table beside the sheets
	derived                   // made from other values
	description               // of survey.yaml, and the same for all
)

// originOf puts a finding where its cause stands: of the terms that the test
// acts upon at the one that is nearest to the row, since what holds for all
// rows is less likely at fault.
func (w *way) originOf(f record.Finding, c *record.Capture, says quality.Record) (record.Finding, origin) {
	acted := []string{f.Field}
	if t, ok := quality.Find(f.Reference); ok {
		acted = t.ActedUpon
	}
	best := description + 1
	for _, prefixed := range acted {
		term := prefixed[strings.Index(prefixed, ":")+1:]
		text := says(term)
		if quality.Empty(text) {
			continue
		}
		v := c.Value(term)
		from := where(v, c)
		if from >= best {
			continue
		}
		best = from
		f.Field, f.Value = term, text
		switch from {
		case ownCell, otherTable:
			f.At = v.From
			if v.Verbatim != "" {
				f.Value = v.Verbatim
			}
		case derived:
			f.At = c.Address()
		case description:
			f.At = record.Address{File: survey.FileName, Row: w.survey.Line(w.keyOf(term))}
		}
	}
	return f, best
}

func where(v *record.Value, c *record.Capture) origin {
	switch {
	case v == nil || v.Text == "" || v.From.File == survey.FileName:
		return description
	case v.From.File == c.File:
		return ownCell
	case v.From.File != "":
		return otherTable
	}
	return derived
}

// datasetKeys are the keys that a term has in the description of the data set.
var datasetKeys = map[string]string{
	"license": "dataset.licence", "rightsHolder": "dataset.rightsHolder", "language": "dataset.language", "datasetID": "dataset.id",
	"datasetName": "dataset.title", "country": "dataset.country", "countryCode": "dataset.countryCode", "institutionCode": "dataset.institutionCode",
}

// keyOf is the key of survey.yaml that a term comes from.
func (w *way) keyOf(term string) string {
	if _, ok := w.survey.Defaults[term]; ok {
		return "defaults." + term
	}
	for i, s := range w.survey.Sheets {
		if _, ok := s.Defaults[term]; ok {
			return fmt.Sprintf("sheets.%d.defaults.%s", i, term)
		}
	}
	return datasetKeys[term]
}

// cause is what findings of many rows have in common.
type cause struct {
	reference, field, value, reason string
	at                              record.Address // where it is not a cell of each row
}

// gatherer makes one finding of those with one cause.
type gatherer struct {
	first map[cause]int
	found []record.Finding
	rows  []int
	from  []origin
}

func (g *gatherer) add(f record.Finding, from origin) {
	k := cause{reference: f.Reference, field: f.Field, value: f.Value, reason: f.Reason}
	if from == otherTable || from == description {
		k = cause{reference: f.Reference, field: f.Field, at: f.At}
	}
	i, again := g.first[k]
	if !again {
		g.first[k] = len(g.found)
		g.found, g.rows, g.from = append(g.found, f), append(g.rows, 1), append(g.from, from)
		return
	}
	g.rows[i]++
	if from == ownCell || from == derived {
		if at := f.At; at != g.found[i].At && !slices.Contains(g.found[i].Also, at) {
			g.found[i].Also = append(g.found[i].Also, at)
		}
	} else {
		g.found[i].Capture = ""
	}
}

// findings gives what was gathered. Tests that fail on the same cells, as those
// of a date and of the year that is taken from it, are one finding.
func (g *gatherer) findings() []record.Finding {
	var out []record.Finding
	for i, f := range g.found {
		if same := slices.IndexFunc(out, func(o record.Finding) bool {
			return o.At == f.At && f.At.Column > 0 && o.Rule == f.Rule && slices.Equal(o.Also, f.Also)
		}); same >= 0 {
			o := &out[same]
			o.Reference += ", " + f.Reference
			if !strings.Contains(o.Reason, f.Reason) {
				o.Reason = f.Reason + "; " + o.Reason
			}
			continue
		}
		switch n := len(f.Also); {
		case n > 0:
			f.Reason += fmt.Sprintf("; %d cells hold it", n+1)
		case g.rows[i] > 1:
			f.Reason += fmt.Sprintf("; %d captures have it", g.rows[i])
		}
		out = append(out, f)
	}
	return out
}
