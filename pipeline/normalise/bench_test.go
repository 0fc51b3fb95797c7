package normalise_test

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/weigh"
)

const benchMapping = `key: [recordNumber]
session: [eventDate, locality]
weighing: {way: same-row, unit: g}
headings:
  - {heading: Field No, term: recordNumber}
  - {heading: Date, term: eventDate}
  - {heading: Site, term: locality}
  - {heading: Lat, term: decimalLatitude}
  - {heading: Long, term: decimalLongitude}
  - {heading: Species, term: scientificName}
  - {heading: Sex, term: sex}
  - {heading: SVL, measurement: snoutVentLength, unit: mm}
  - {heading: Tibia, measurement: tibiaLength, unit: mm}
  - {heading: Head W, measurement: headWidth, unit: mm}
  - {heading: Tymp, measurement: tympanumDiameter, unit: mm}
  - {heading: Eye, measurement: eyeDiameter, unit: mm}
  - {heading: Gross wt, weighing: gross}
  - {heading: Bag wt, weighing: tare}
  - {heading: Observer, term: recordedBy}
  - {heading: Notes, term: occurrenceRemarks}
`

const benchChecklist = `scientificName,scientificNameAuthorship,taxonRank,vernacularName,kingdom,phylum,class,order,family
Lithobates clamitans,"(Latreille, 1801)",species,green frog,Animalia,Chordata,Amphibia,Anura,Ranidae
Lithobates pipiens,"(Schreber, 1782)",species,leopard frog,Animalia,Chordata,Amphibia,Anura,Ranidae
Lithobates sylvaticus,"(LeConte, 1825)",species,wood frog,Animalia,Chordata,Amphibia,Anura,Ranidae
Anaxyrus americanus,"(Holbrook, 1836)",species,American toad,Animalia,Chordata,Amphibia,Anura,Bufonidae
`

// benchText is a sheet of 20,000 captures equal in kind to that of
// testdata/bench: dates and lengths in several forms.
func benchText(b *testing.B) []byte {
	if path := os.Getenv("SPADEFOOT_SHEET"); path != "" {
		text, err := os.ReadFile(path)
		must(b, err)
		return text
	}
	return someText(20_000)
}

func someText(captures int) []byte {
	r := rand.New(rand.NewPCG(7, 7))
	var out bytes.Buffer
	out.WriteString("Field No,Date,Site,Lat,Long,Species,Sex,SVL (mm),Tibia mm,Head W,Tymp,Eye,Gross wt (g),Bag wt (g),Observer,Notes\n")
	for i := range captures {
		day := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, r.IntN(3650))
		date, length := day.Format(time.DateOnly), 40+30*r.Float64()
		svl := fmt.Sprintf("%.1f", length)
		switch r.IntN(3) {
		case 1:
			date = day.Format("2 Jan 2006")
		case 2:
			svl = fmt.Sprintf("%.2f cm", length/10)
		}
		note := ""
		if i%11 == 0 {
			note = `"in reeds, calling"`
		}
		site, bag := 1+r.IntN(24), 4+0.5*float64(r.IntN(5))
		fmt.Fprintf(&out, "MC%07d,%s,Site %d,%.4f,%.4f,%s,%s,%s,%.1f,%.1f,%.1f,%.1f,%.1f,%.1f,OB%d,%s\n", i, date, site, 45+0.013*float64(site), -78-0.017*float64(site),
			[]string{"Lithobates clamitans", "L. pipiens", "wood frog", "Anaxyrus americanus"}[r.IntN(4)], []string{"M", "F", "male", "f", ""}[r.IntN(5)],
			svl, length*0.48, length*0.36, length*0.1, length*0.09, bag+10+30*r.Float64(), bag, i%9, note)
	}
	return out.Bytes()
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

func benchContext(b testing.TB, m *mapping.Mapping) *normalise.Context {
	list, err := taxon.ReadChecklist(strings.NewReader(benchChecklist), "checklist.csv")
	must(b, err)
	x := &normalise.Context{Key: m.Key, Session: m.Session, Weighing: normalise.Weighing{Way: record.SameRow, Unit: "g"},
		Checklist: list, Words: map[string]*vocabulary.List{}, UnitOf: func(name string) string { return "mm" }}
	for term, name := range map[string]string{"sex": "sex", "lifeStage": "life_stage"} {
		x.Words[term], err = vocabulary.Load(name)
		must(b, err)
	}
	return x
}

func benchMapped(b testing.TB) *mapping.Mapping {
	doc, err := config.Parse("m.yaml", []byte(benchMapping))
	must(b, err)
	m, err := mapping.Parse(doc, mapping.Known{HeadingParts: quantity.HeadingUnit})
	must(b, err)
	return m
}

func benchTable(b *testing.B, m *mapping.Mapping) *record.Table {
	s, _, err := sheet.ReadText("t.csv", bytes.NewReader(benchText(b)), sheet.Options{})
	must(b, err)
	known := mapping.Known{HeadingParts: quantity.HeadingUnit}
	tables, _ := layout.Find(s, layout.Options{IsHeading: m.Matcher(known)})
	_, err = mapping.Apply(m, &tables[0], known)
	must(b, err)
	return &tables[0]
}

// processor is the time that the process has spent on a processor.
func processor(b *testing.B) time.Duration {
	var u syscall.Rusage
	must(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// perCapture says what one capture takes; the clock says little on a machine
// with other work.
func perCapture(b *testing.B, since time.Duration, captures int) {
	b.ReportMetric(float64((processor(b)-since).Nanoseconds())/float64(captures), "processor-ns/capture")
}

func BenchmarkTable(b *testing.B) {
	m := benchMapped(b)
	t, x := benchTable(b, m), benchContext(b, m)
	b.ReportAllocs()
	n, since := 0, processor(b)
	for b.Loop() {
		captures, _ := normalise.Table(t, x)
		n += len(captures)
	}
	perCapture(b, since, n)
}

func BenchmarkWeigh(b *testing.B) {
	m := benchMapped(b)
	captures, _ := normalise.Table(benchTable(b, m), benchContext(b, m))
	s := weigh.Defaults()
	b.ReportAllocs()
	n, since := 0, processor(b)
	for b.Loop() {
		var sum weigh.TareSummary
		for _, c := range captures {
			weigh.Weigh(c, weigh.BagTable{}, s)
			sum.AddCapture(c)
		}
		for _, c := range captures {
			weigh.JudgeTare(c, sum, s)
		}
		n += len(captures)
	}
	perCapture(b, since, n)
}

// BenchmarkChunks takes a sheet from its bytes to weighed captures, a chunk at
// a time.
func BenchmarkChunks(b *testing.B) {
	m := benchMapped(b)
	x := benchContext(b, m)
	path := filepath.Join(b.TempDir(), "t.csv")
	must(b, os.WriteFile(path, benchText(b), 0o600))
	known := mapping.Known{HeadingParts: quantity.HeadingUnit}
	s := weigh.Defaults()
	b.ReportAllocs()
	n, since := 0, processor(b)
	for b.Loop() {
		f, _, err := sheet.Open("t.csv", path, sheet.Options{})
		must(b, err)
		rows, err := f.Next(2000)
		must(b, err)
		tables, more, _ := layout.Begin(record.Sheet{File: "t.csv", Rows: rows}, layout.Options{IsHeading: m.Matcher(known)})
		t := tables[0]
		applied, _, err := mapping.Begin(m, &t, known)
		must(b, err)
		reading := normalise.Begin(&t, x)
		take := func(rows []record.TableRow) {
			captures, _ := reading.Add(rows)
			for _, c := range captures {
				weigh.Weigh(c, weigh.BagTable{}, s)
			}
			n += len(captures)
		}
		take(t.Rows)
		for {
			rows, err := f.Next(2000)
			if err == io.EOF {
				break
			}
			must(b, err)
			laid, _, err := more.More(rows)
			must(b, err)
			must(b, applied.More(laid))
			take(laid)
		}
		laid, _, err := more.End()
		must(b, err)
		must(b, applied.More(laid))
		take(laid)
		must(b, f.Close())
	}
	perCapture(b, since, n)
}
