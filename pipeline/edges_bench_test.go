package pipeline

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"testing"

	"github.com/gocarina/gocsv"
	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/taxon"
	"spadefoot/schemas"
)

// tableText is a made-up table of so many rows.
func tableText(headings []string, rows int, row func(i int) []string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(headings)
	for i := range rows {
		_ = w.Write(row(i))
	}
	w.Flush()
	return b.Bytes()
}

// letters is a word that is another for every number.
func letters(i int) string {
	return string([]byte{byte('a' + i/676%26), byte('a' + i/26%26), byte('a' + i%26)})
}

// BenchmarkTablesBesideSheets reads the tables beside the sheets: as the rooms
// do, by gocsv into a struct and no more, and by encoding/csv alone into rows of
// texts.
func BenchmarkTablesBesideSheets(b *testing.B) {
	for _, t := range []struct {
		name string
		rows int
		text []byte
		room func(io.Reader) error
		into func() any
	}{
		{"checklist", 5000, tableText([]string{"scientificName", "scientificNameAuthorship", "taxonRank", "acceptedNameUsage", "vernacularName", "code", "kingdom", "phylum", "class", "order", "family"},
			5000, func(i int) []string {
				return []string{"Rana ranunculi" + letters(i), "(Varga, 1901)", "species", "", "frog of pond " + letters(i), fmt.Sprintf("R%05d", i), "Animalia", "Chordata", "Amphibia", "Anura", "Ranidae"}
			}),
			func(r io.Reader) error { _, err := taxon.ReadChecklist(r, "checklist.csv"); return err }, func() any { return &[]taxon.Entry{} }},
		{"sites", 500, tableText([]string{"site", "latitude", "longitude", "datum", "uncertainty", "elevation", "county", "stateProvince", "country", "countryCode", "aliases"},
			500, func(i int) []string {
				return []string{"Pond " + letters(i), fmt.Sprintf("45.%04d", i), fmt.Sprintf("-76.%04d", i), "WGS84", "30", "92", "Lanark", "Ontario", "Canada", "CA", "P" + letters(i)}
			}),
			func(r io.Reader) error { _, err := place.ReadSites(r); return err }, func() any { return &[]place.Site{} }},
		{"limits", 500, tableText([]string{"scientificName", "measurement", "unit", "minimum", "maximum", "sex", "lifeStage", "source", "level"},
			500, func(i int) []string {
				return []string{"Rana ranunculi" + letters(i), "snoutVentLength", "mm", "30", "108", "", "adult", "invented", "warning"}
			}),
			func(r io.Reader) error { _, err := screen.ReadLimits(r, "limits.csv"); return err }, func() any { return &[]limitRow{} }},
	} {
		for _, way := range []struct {
			name string
			do   func() error
		}{
			{"room", func() error { return t.room(bytes.NewReader(t.text)) }},
			{"gocsv", func() error { return gocsv.Unmarshal(bytes.NewReader(t.text), t.into()) }},
			{"plain", func() error { _, err := csv.NewReader(bytes.NewReader(t.text)).ReadAll(); return err }},
		} {
			b.Run(t.name+"/"+way.name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := way.do(); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(t.rows), "ns/row")
			})
		}
	}
}

// limitRow is a row as the room that owns the table has it.
type limitRow struct {
	ScientificName string `csv:"scientificName"`
	Measurement    string `csv:"measurement"`
	Unit           string `csv:"unit"`
	Minimum        string `csv:"minimum"`
	Maximum        string `csv:"maximum"`
	Sex            string `csv:"sex"`
	LifeStage      string `csv:"lifeStage"`
	Source         string `csv:"source"`
	Level          string `csv:"level"`
}

// BenchmarkSchemas holds documents against schemas: the survey, a mapping, the
// findings of a run, and a thousand of its captures, drawn evenly.
func BenchmarkSchemas(b *testing.B) {
	r, err := Check(context.Background(), benchFolder(b), Options{wholeRows: 1 << 30})
	if err != nil {
		b.Fatal(err)
	}
	const sampled = 1000
	captures := make([]any, sampled)
	for i := range captures {
		captures[i] = generic(b, r.Captures[i*len(r.Captures)/sampled])
	}
	captureSchema, err := schemas.Files.ReadFile("capture.schema.json")
	if err != nil {
		b.Fatal(err)
	}
	compiled, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(captureSchema))
	if err != nil {
		b.Fatal(err)
	}
	var found bytes.Buffer
	if err := findings.JSON(&found, r.Findings); err != nil {
		b.Fatal(err)
	}
	text, err := schemas.Files.ReadFile("findings.schema.json")
	if err != nil {
		b.Fatal(err)
	}
	b.Run("survey-and-mappings", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := start(benchFolder(b), Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("findings", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if res, err := gojsonschema.Validate(gojsonschema.NewBytesLoader(text), gojsonschema.NewBytesLoader(found.Bytes())); err != nil || !res.Valid() {
				b.Fatal(res, err)
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(r.Findings)), "ns/finding")
	})
	b.Run("captures", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, c := range captures {
				if res, err := compiled.Validate(gojsonschema.NewGoLoader(c)); err != nil || !res.Valid() {
					b.Fatal(res.Errors(), err)
				}
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/sampled, "ns/capture")
	})
	b.Run("captures-made-generic", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for i := range sampled {
				generic(b, r.Captures[i*len(r.Captures)/sampled])
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/sampled, "ns/capture")
	})
}

// generic is a capture as the library wants it: maps, lists, texts, numbers.
func generic(tb testing.TB, c *record.Capture) (out any) {
	text, err := json.Marshal(c)
	if err == nil {
		err = json.Unmarshal(text, &out)
	}
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

// BenchmarkFindingsTable writes findings.csv: by gocsv, as the report does, and
// the same texts by encoding/csv.
func BenchmarkFindingsTable(b *testing.B) {
	r, err := Check(context.Background(), benchFolder(b), Options{})
	if err != nil {
		b.Fatal(err)
	}
	all := slices.Repeat(r.Findings, max(1, 2000/len(r.Findings)))
	var text bytes.Buffer
	if err := findings.CSV(&text, all); err != nil {
		b.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text.Bytes())).ReadAll()
	if err != nil {
		b.Fatal(err)
	}
	for _, way := range []struct {
		name string
		do   func() error
	}{
		{"report", func() error { return findings.CSV(io.Discard, all) }},
		{"plain", func() error { return csv.NewWriter(io.Discard).WriteAll(rows) }},
	} {
		b.Run(way.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := way.do(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(all)), "ns/row")
		})
	}
}
