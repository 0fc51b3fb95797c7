package main

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/xuri/excelize/v2"
)

// kind is a species with its middle length (mm) and mass (g), made up.
type kind struct {
	written      string // as the sheet has it
	length, mass float64
}

var kinds = []kind{
	{"Lithobates clamitans", 68, 30}, {"L. pipiens", 72, 34}, {"wood frog", 48, 11}, {"Anaxyrus americanus", 75, 55},
}

var headings = []string{"Field No", "Date", "Site", "Lat", "Long", "Species", "Sex", "SVL (mm)", "Tibia mm", "Head W", "Tymp", "Eye",
	"Gross wt (g)", "Bag wt (g)", "Observer", "Notes"}

var sexes = []string{"M", "F", "male", "f", ""}

// sheet makes the rows: four species in the ways people write them, dates and
// lengths in several forms, one gross mass in five hundred ten times too large.
type sheet struct{ r *rand.Rand }

func (s *sheet) around(middle, spread float64) float64 {
	return middle * math.Exp(spread*s.r.NormFloat64())
}

func (s *sheet) row(i int) []string {
	k := kinds[s.r.IntN(len(kinds))]
	length := s.around(k.length, 0.12)
	mass := s.around(k.mass*math.Pow(length/k.length, 3), 0.12)
	head := s.around(length*0.36, 0.03)
	bag := 4 + 0.5*float64(s.r.IntN(5))
	gross := math.Round((mass+bag)*10) / 10
	if s.r.IntN(500) == 0 {
		gross *= 10
	}
	site := 1 + s.r.IntN(24)
	day := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, s.r.IntN(3650))
	date, svl := day.Format(time.DateOnly), places(length, 1)
	switch s.r.IntN(3) {
	case 1:
		date = day.Format("2 Jan 2006")
	case 2:
		svl = places(length/10, 2) + " cm"
	}
	note := ""
	if i%11 == 0 {
		note = "in reeds, calling"
	}
	return []string{fmt.Sprintf("MC%07d", i), date, "Site " + strconv.Itoa(site),
		places(45+0.013*float64(site), 4), places(-78-0.017*float64(site), 4), k.written, sexes[s.r.IntN(len(sexes))],
		svl, places(s.around(length*0.48, 0.03), 1), places(head, 1), places(s.around(head*0.3, 0.1), 1), places(s.around(head*0.28, 0.05), 1),
		places(gross, 1), places(bag, 1), "OB" + strconv.Itoa(i%9), note}
}

func places(x float64, n int) string { return strconv.FormatFloat(x, 'f', n, 64) }

const configuration = `dataset:
  id: https://marrow-creek.invalid/bench
  title: Bench
  description: Invented captures to measure the program with.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{family: Varga}]
tables: {checklist: checklist.csv}
sheets: [{file: %s}]
mapping:
  key: [recordNumber]
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

// checklist has the names; the authorships are common practice.
const checklist = `scientificName,scientificNameAuthorship,taxonRank,acceptedNameUsage,vernacularName,code,kingdom,phylum,class,order,family
Lithobates clamitans,"(Latreille, 1801)",species,,green frog,LICL,Animalia,Chordata,Amphibia,Anura,Ranidae
Lithobates pipiens,"(Schreber, 1782)",species,,northern leopard frog|leopard frog,LIPI,Animalia,Chordata,Amphibia,Anura,Ranidae
Lithobates sylvaticus,"(LeConte, 1825)",species,,wood frog,LISY,Animalia,Chordata,Amphibia,Anura,Ranidae
Anaxyrus americanus,"(Holbrook, 1836)",species,,American toad,ANAM,Animalia,Chordata,Amphibia,Anura,Bufonidae
`

func sheetPath(folder string, workbook bool) string {
	if workbook {
		return filepath.Join(folder, "sheet.xlsx")
	}
	return filepath.Join(folder, "sheet.csv")
}

// survey makes a survey folder of n captures.
func survey(folder string, n int, workbook bool) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	path := sheetPath(folder, workbook)
	write := writeText
	if workbook {
		write = writeWorkbook
	}
	return errors.Join(
		write(path, n, &sheet{rand.New(rand.NewPCG(7, uint64(n)))}),
		os.WriteFile(filepath.Join(folder, "survey.yaml"), fmt.Appendf(nil, configuration, filepath.Base(path)), 0o644),
		os.WriteFile(filepath.Join(folder, "checklist.csv"), []byte(checklist), 0o644))
}

func writeText(path string, n int, s *sheet) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	b := bufio.NewWriterSize(f, 1<<16)
	w := csv.NewWriter(b)
	_ = w.Write(headings) // Error says it below
	for i := range n {
		_ = w.Write(s.row(i))
	}
	w.Flush()
	return errors.Join(w.Error(), b.Flush(), f.Close())
}

// writeWorkbook writes numbers as numbers, as people type them.
func writeWorkbook(path string, n int, s *sheet) error {
	f := excelize.NewFile()
	defer f.Close()
	w, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		return err
	}
	for i := -1; i < n; i++ {
		texts := headings
		if i >= 0 {
			texts = s.row(i)
		}
		cells := make([]any, len(texts))
		for c, t := range texts {
			cells[c] = t
			if x, err := strconv.ParseFloat(t, 64); err == nil {
				cells[c] = x
			}
		}
		if err := w.SetRow(fmt.Sprintf("A%d", i+2), cells); err != nil {
			return err
		}
	}
	return errors.Join(w.Flush(), f.SaveAs(path))
}
