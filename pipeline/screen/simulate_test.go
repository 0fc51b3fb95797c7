package screen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"spadefoot/pipeline/record"
)

// An invented survey: four kinds of frogs with sizes and shapes such as real
// ones have, both sexes and young, caliper to 0.1 mm, spring scale to 0.5 g
// (0.1 g for the small kinds), a bag for every animal, one reading in twenty
// not taken.

type kindOfFrog struct {
	name   string
	share  float64
	svl    float64 // mm, adult female
	male   float64 // male SVL over female
	mass   float64 // g at that SVL
	graded float64 // graduation of the scale
	drum   float64 // tympanum of males over females
}

var frogs = []kindOfFrog{
	{"Lithobates pipiens", 0.45, 72, 0.93, 38, 0.5, 1.1},
	{"Lithobates clamitans", 0.25, 78, 0.97, 48, 0.5, 1.45},
	{"Pseudacris regilla", 0.2, 41, 0.92, 5.6, 0.1, 1.05},
	{"Anaxyrus americanus", 0.1, 80, 0.85, 62, 0.5, 1},
}

type character struct {
	name  string
	ratio float64 // to SVL
	slope float64
	cv    float64
}

var characters = []character{
	{"tibiaLength", 0.53, 1.02, 0.035}, {"femurLength", 0.48, 1, 0.04}, {"headWidth", 0.35, 0.95, 0.035},
	{"eyeDiameter", 0.105, 0.8, 0.05}, {"tympanumDiameter", 0.085, 0.95, 0.06}, {"footLength", 0.5, 1, 0.045},
}

const simulatedSheet = "simulated.csv"

// simulate makes n captures of a clean survey.
func simulate(n int, seed uint64) []*record.Capture { return simulateKinds(n, seed, frogs) }

func simulateKinds(n int, seed uint64, kinds []kindOfFrog) []*record.Capture {
	draw := rand.New(rand.NewPCG(seed, 4))
	captures := make([]*record.Capture, n)
	perDay := 14
	for i := range captures {
		day := i / perDay
		captures[i] = simulateOne(draw, kinds, i+2, day)
	}
	return captures
}

func simulateOne(draw *rand.Rand, kinds []kindOfFrog, line, day int) *record.Capture {
	kind := kinds[len(kinds)-1]
	at := draw.Float64()
	for _, k := range kinds {
		if at < k.share {
			kind = k
			break
		}
		at -= k.share
	}
	c := &record.Capture{ID: fmt.Sprintf("urn:uuid:%08x-%04x-5000-8000-%012x", draw.Uint32(), line&0xffff, line),
		Key: "MC-" + strconv.Itoa(line), File: simulatedSheet, Row: line, Session: fmt.Sprintf("day %d", day)}
	set := func(term, text string, column int) {
		c.Set(record.Value{Field: record.Of(term), Text: text, Verbatim: text}.At(record.Address{File: simulatedSheet, Row: line, Column: column}))
	}
	sex, stage, ratio := "female", "adult", 1.0
	switch u := draw.Float64(); {
	case u < 0.12:
		sex, stage, ratio = "", "juvenile", 0.55
	case u < 0.58:
		sex, ratio = "male", kind.male
	}
	set("scientificName", kind.name, 2)
	set("sex", sex, 3)
	set("lifeStage", stage, 4)
	set("eventDate", fmt.Sprintf("2021-05-%02d", 1+day%28), 5)
	set("recordedBy", []string{"A. Quill", "B. Rook", "C. Sedge"}[day%3], 6)
	spread := 0.08
	if stage == "juvenile" {
		spread = 0.16
	}
	svl := kind.svl * ratio * math.Exp(spread*draw.NormFloat64())
	measure(c, draw, "snoutVentLength", svl, 10)
	limb := 0.02 * draw.NormFloat64()
	for k, ch := range characters {
		v := ch.ratio * kind.svl * math.Pow(svl/kind.svl, ch.slope) * math.Exp(ch.cv*draw.NormFloat64())
		if ch.name == "tibiaLength" || ch.name == "femurLength" || ch.name == "footLength" {
			v *= math.Exp(limb)
		}
		if ch.name == "tympanumDiameter" && sex == "male" {
			v *= kind.drum
		}
		measure(c, draw, ch.name, v, 11+k)
	}
	weighFrog(c, draw, kind, kind.mass*math.Pow(svl/kind.svl, 3)*math.Exp(0.1*draw.NormFloat64()))
	return c
}

func measure(c *record.Capture, draw *rand.Rand, name string, v float64, column int) {
	if draw.Float64() < 0.05 {
		return
	}
	text := strconv.FormatFloat(v, 'f', 1, 64)
	addReading(c, name, text, "mm", column)
}

func addReading(c *record.Capture, name, text, unit string, column int) *record.Reading {
	r := makeReading(c, name, text, unit, column)
	c.Readings = append(c.Readings, r)
	return &c.Readings[len(c.Readings)-1]
}

func replicate(r *record.Reading, n int) {
	r.Vary(func(s *record.Series) { s.Replicate = n })
}

func makeReading(c *record.Capture, name, text, unit string, column int) record.Reading {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err)
	}
	return record.Reading{Series: &record.Series{Measurement: name, Unit: unit, WrittenUnit: unit}, Number: v, Decimals: numeralIn(text).decimals, Text: text, Verbatim: text}.At(record.Address{File: c.File, Sheet: c.Sheet, Row: c.Row, Column: column})
}

const (
	grossColumn = 30
	tareColumn  = 31
)

func weighFrog(c *record.Capture, draw *rand.Rand, kind kindOfFrog, net float64) {
	if draw.Float64() < 0.05 {
		return
	}
	bag := 2.2 + 0.3*draw.NormFloat64()
	decimals := 1
	graded := func(v float64) string {
		return strconv.FormatFloat(math.Round(v/kind.graded)*kind.graded, 'f', decimals, 64)
	}
	tare := max(bag, 1)
	if draw.Float64() < 0.2 { // scale zeroed with the bag on
		if text := graded(net); text != "0.0" {
			writeNet(c, text)
		}
		return
	}
	setWeighing(c, graded(tare+net), graded(tare), kind.graded)
}

// setWeighing writes gross and tare and works out the net mass from them.
func setWeighing(c *record.Capture, gross, tare string, graduation float64) {
	g, t := makeReading(c, grossMass, gross, "g", grossColumn), makeReading(c, bagMass, tare, "g", tareColumn)
	w := &record.Weighing{Way: record.SameRow, Gross: &g, Tare: &t}
	c.Weighing = w
	if v := g.Number - t.Number; v > 0 {
		net := record.Reading{Series: &record.Series{Measurement: bodyMass, Unit: "g", WrittenUnit: "g", Derived: true}, Number: math.Round(v*10) / 10, Decimals: 1, Text: strconv.FormatFloat(v, 'f', 1, 64), Accuracy: 2 * graduation / math.Sqrt(12) * math.Sqrt2, Verbatim: gross}.At(g.From())
		w.Net = &net
		c.Readings = append(c.Readings, net)
	}
}
