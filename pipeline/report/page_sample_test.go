package report_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/report"
)

var demoRun struct {
	sync.Once
	page     []byte
	findings []record.Finding
	counts   pipeline.Counts
	err      error
}

// demoPage is the report of the demo, with the findings of the run.
func demoPage(t *testing.T) ([]byte, []record.Finding) {
	t.Helper()
	d := &demoRun
	d.Do(func() {
		dir, err := os.MkdirTemp("", "report")
		if err != nil {
			d.err = err
			return
		}
		defer os.RemoveAll(dir)
		r, err := pipeline.Run(context.Background(), filepath.Join(need.Root(t), "testdata", "demo"), dir, pipeline.Options{Version: "test"})
		if err != nil {
			d.err = err
			return
		}
		d.findings, d.counts = r.Findings, r.Counts
		d.page, d.err = os.ReadFile(filepath.Join(dir, "report.html"))
	})
	if d.err != nil {
		t.Fatal(d.err)
	}
	return d.page, d.findings
}

// demoReport is the path of the demo's report.
func demoReport(t *testing.T) string {
	t.Helper()
	page, _ := demoPage(t)
	return saved(t, "demo", page)
}

// seasonReport is the path of a generated season's report.
func seasonReport(t *testing.T, captures int) string {
	t.Helper()
	return saved(t, "season", html(t, season(captures)))
}

func saved(t *testing.T, name string, page []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name+".html")
	if err := os.WriteFile(path, page, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// made is a page with the captures and findings that it is to be gathered
// from.
type made struct {
	report.Page
	report.Asked
	Captures []*record.Capture
	Findings []record.Finding
}

// html gathers the page in parts of so many captures, in one where none is
// given.
func html(t testing.TB, p made, part ...int) []byte {
	t.Helper()
	p.Gathered = gathered(p, part...)
	var b bytes.Buffer
	if err := report.HTML(&b, p.Page); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// gathered hands captures and findings over in parts.
func gathered(p made, part ...int) *report.Gatherer {
	g := report.NewGatherer(p.Asked)
	size := max(1, len(p.Captures))
	if len(part) > 0 {
		size = part[0]
	}
	rest := slices.Clone(p.Findings)
	record.SortFindings(rest)
	for captures := range slices.Chunk(p.Captures, size) {
		first, last := captures[0].Address(), captures[len(captures)-1].Address()
		last.Row++
		var here, others []record.Finding
		for _, f := range rest {
			if !f.At.Before(first) && f.At.Before(last) {
				here = append(here, f)
			} else {
				others = append(others, f)
			}
		}
		g.Add(captures, here)
		rest = others
	}
	g.End(rest)
	return g
}

var seasonMeasures = map[string]report.Measure{
	"snoutVentLength": {Label: "snout-vent length", Unit: "mm", Kind: "length"},
	"tibiaLength":     {Label: "tibia length", Unit: "mm", Kind: "length"},
	"headWidth":       {Label: "head width", Unit: "mm", Kind: "length"},
	"bodyMass":        {Label: "body mass", Unit: "g", Kind: "mass"},
}

// season makes up a survey: five frogs, lengths taken twice, bags weighed, and
// one capture in thirty with a length ten times too large.
func season(n int) made {
	draw := rand.New(rand.NewPCG(7, 11))
	taxa := []struct {
		name string
		size float64
	}{{"Anaxyrus americanus", 70}, {"Lithobates clamitans", 72}, {"Lithobates pipiens", 68}, {"Lithobates sylvaticus", 51}, {"Pseudacris crucifer", 27}}
	p := made{Page: report.Page{Title: "A made-up season", Version: "test"}}
	p.Asked = report.Asked{
		Measure: func(name string) report.Measure { return seasonMeasures[name] },
		Place: func(c *record.Capture) (report.Spot, bool) {
			lat, err := strconv.ParseFloat(c.Get("decimalLatitude"), 64)
			lon, _ := strconv.ParseFloat(c.Get("decimalLongitude"), 64)
			return report.Spot{Name: c.Get("locality"), Latitude: lat, Longitude: lon}, err == nil
		},
		Rows: func(f record.Finding) []report.Neighbour {
			var row []report.Neighbour
			for i := range 15 {
				row = append(row, report.Neighbour{Cell: record.ColumnLetters(i+1) + strconv.Itoa(f.At.Row), Heading: fmt.Sprintf("heading %d", i+1),
					Text: fmt.Sprintf("cell %d", i+1), Doubtful: i+1 == f.At.Column})
			}
			return row
		}}
	p.Sums = []report.Sum{{Name: "Captures", N: n, Parts: []report.Part{{Name: "published as occurrences", N: n}}}}
	p.Sheets = []report.SheetNote{{File: "season.csv", Rows: n, Captures: n}}
	for i := range n {
		taxon := taxa[draw.IntN(len(taxa))]
		c := &record.Capture{Key: fmt.Sprintf("S-%04d", i+1), File: "season.csv", Row: i + 2}
		at := func(column int) record.Address {
			return record.Address{File: "season.csv", Row: i + 2, Column: column}
		}
		day := time.Date(2024, 4, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i*120/n).Format("2006-01-02")
		pond := draw.IntN(12)
		for k, v := range [][2]string{{"scientificName", taxon.name}, {"sex", []string{"female", "male", ""}[draw.IntN(3)]}, {"lifeStage", "adult"},
			{"eventDate", day}, {"recordedBy", []string{"A. Holm", "B. Castro", "C. Adeyemi"}[draw.IntN(3)]},
			{"locality", fmt.Sprintf("Pond %d", pond+1)}, {"decimalLatitude", fmt.Sprintf("%.4f", 45.4+0.01*float64(pond%4))},
			{"decimalLongitude", fmt.Sprintf("%.4f", -76.2-0.013*float64(pond/4))}} {
			c.Set(record.Value{Field: record.Of(v[0]), Text: v[1], Verbatim: v[1]}.At(at(k + 1)))
		}
		size := taxon.size * math.Exp(0.12*draw.NormFloat64())
		slip := i%30 == 7
		take := func(name string, value float64, replicate, column int, unit string) {
			text := strconv.FormatFloat(value, 'f', 1, 64)
			number, _ := strconv.ParseFloat(text, 64)
			c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: name, Unit: unit, WrittenUnit: unit, Replicate: replicate, Instrument: "caliper"}, Number: number, Decimals: 1, Text: text, Verbatim: text}.At(at(column)))
		}
		written := size
		if slip {
			written *= 10
		}
		take("snoutVentLength", written, 1, 9, "mm")
		take("snoutVentLength", size*math.Exp(0.01*draw.NormFloat64()), 2, 10, "mm")
		take("tibiaLength", size*0.5*math.Exp(0.03*draw.NormFloat64()), 0, 11, "mm")
		take("headWidth", size*0.36*math.Exp(0.03*draw.NormFloat64()), 0, 12, "mm")
		mass := 30 * math.Pow(size/60, 3) * math.Exp(0.1*draw.NormFloat64())
		bag := math.Round(2*(4.5+draw.Float64())) / 2
		gross := record.Reading{Series: &record.Series{Measurement: "grossMass", Unit: "g"}, Number: mass + bag, Text: fmt.Sprintf("%.1f", mass+bag)}.At(at(13))
		tare := record.Reading{Series: &record.Series{Measurement: "bagMass", Unit: "g"}, Number: bag, Decimals: 1, Text: fmt.Sprintf("%.1f", bag)}.At(at(14))
		c.Weighing = &record.Weighing{Way: record.SameRow, Gross: &gross, Tare: &tare}
		take("bodyMass", mass, 0, 13, "g")
		c.Readings[len(c.Readings)-1].Vary(func(s *record.Series) { s.Derived = true })
		c.Session = day
		p.Captures = append(p.Captures, c)
		if slip {
			p.Findings = append(p.Findings, record.Finding{Rule: "value-far", Level: record.Error, At: at(9), Capture: c.Key, Field: "snoutVentLength",
				Value: c.Readings[0].Verbatim, Reason: "snout vent length is too large: ten times what the other measurements predict. The decimal point was lost.",
				Suggestion: strconv.FormatFloat(size, 'f', 1, 64), Figures: []record.Figure{{Name: "n", Value: float64(n)}}})
		}
	}
	return p
}
