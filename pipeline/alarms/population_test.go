package alarms

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"time"
)

// An invented population, and what five people write of it: twenty species with
// log-series abundances, three pairs of which look alike; animals that grow and
// are caught again; both sexes and young, of which sex and stage are often left
// blank; gravid females; observers each with a bias and a way of rounding of
// their own; bags of two sizes, wet on some nights.

// frog is a species: middle snout-vent length of a grown female (mm), that of
// males over it, mass (g) at that length, and what a male's ear drum is over a
// female's.
type frog struct {
	name       string
	svl, male  float64
	mass, drum float64
	shape      float64 // seeds the shape; pairs that look alike share it
}

var frogs = []frog{
	{"Lithobates pipiens", 76, 0.93, 45, 1.1, 1}, {"Lithobates clamitans", 80, 0.97, 52, 1.5, 2},
	{"Lithobates catesbeianus", 125, 0.95, 190, 1.5, 2}, {"Lithobates sylvaticus", 52, 0.9, 13, 1.05, 3},
	{"Lithobates palustris", 66, 0.88, 28, 1.1, 1}, {"Lithobates septentrionalis", 58, 0.96, 20, 1.4, 2},
	{"Pseudacris crucifer", 31, 0.9, 2.2, 1.0, 4}, {"Pseudacris triseriata", 30, 0.91, 2.1, 1.0, 4},
	{"Pseudacris maculata", 31, 0.91, 2.2, 1.0, 4}, {"Pseudacris regilla", 42, 0.9, 6, 1.05, 5},
	{"Hyla versicolor", 48, 0.92, 9.5, 1.0, 6}, {"Hyla chrysoscelis", 47, 0.92, 9, 1.0, 6},
	{"Acris blanchardi", 27, 0.92, 1.6, 1.0, 7}, {"Anaxyrus americanus", 82, 0.85, 62, 1.0, 8},
	{"Anaxyrus fowleri", 68, 0.88, 36, 1.0, 8}, {"Anaxyrus boreas", 92, 0.9, 85, 1.0, 8},
	{"Scaphiopus holbrookii", 60, 0.97, 26, 1.0, 9}, {"Spea bombifrons", 50, 0.97, 16, 1.0, 9},
	{"Rana luteiventris", 72, 0.8, 40, 1.0, 10}, {"Gastrophryne carolinensis", 31, 0.93, 2.9, 1.0, 11},
}

// limb is a measurement beside the body length: its ratio to it, how it goes
// with it in the young and the grown, and its scatter between animals.
type limb struct {
	heading           string
	ratio, young, old float64
	cv                float64
}

var limbs = []limb{
	{"Tibia", 0.52, 1.08, 1.01, 0.035}, {"Femur", 0.47, 1.06, 1.0, 0.04}, {"Head W", 0.35, 0.84, 0.96, 0.035},
	{"Eye", 0.105, 0.68, 0.82, 0.05}, {"Tymp", 0.075, 1.0, 0.95, 0.06}, {"Foot", 0.5, 1.04, 1.0, 0.045},
}

// animal is one that lives somewhere and may be caught again.
type animal struct {
	frog
	site, mark string
	sex        string
	asymptote  float64   // mm
	rate       float64   // of growth, per year
	born       time.Time // metamorphosed
	form       []float64 // residuals of its limbs, log
	stout      float64   // of its mass, log
}

func (a *animal) length(day time.Time) float64 {
	years := day.Sub(a.born).Hours() / 24 / 365
	return a.asymptote * (1 - 0.68*math.Exp(-a.rate*years))
}

// observer is a person with their own hand.
type observer struct {
	name    string
	bias    []float64 // of each length, log
	repeat  float64   // standard deviation of a repeat, log
	jitter  float64   // mm
	step    float64   // that lengths are rounded to, mm
	heaps   float64   // share of readings that go to half millimetres all the same
	trimmed bool      // writes 23 for 23.0
}

var fieldHeadings = []string{"No", "Date", "Site", "Species", "Sex", "Stage", "Mark", "SVL", "Tibia", "Femur", "Head W", "Eye", "Tymp", "Foot",
	"Gross", "Bag", "Net", "Observer", "Notes"}

// Columns of the field sheet, from 0.
const (
	atDate, atSex, atMark, atSVL     = 1, 4, 6, 7
	atGross, atBag, atNet, atRemarks = 14, 15, 16, 18
)

// fieldwork writes the sheet.
type fieldwork struct {
	*rand.Rand
	heaped   bool
	unstaged bool // no stage is written, more of the animals are young, and these three times as unlike the grown
	people   []observer
	shares   []float64
	forms    map[float64][]float64
	sites    []string
	animals  []*animal
	rows     [][]string
	nextMark int
}

// newFieldwork makes people and a community of species.
func newFieldwork(seed uint64, heaped bool) *fieldwork {
	w := &fieldwork{Rand: rand.New(rand.NewPCG(seed, 15)), heaped: heaped, forms: map[float64][]float64{},
		sites: []string{"Tern Slough", "Old Ferry Ditch", "Mill Pond", "North Marsh"}}
	for i, name := range []string{"I. Varga", "T. Okafor", "M. Reyes", "A. Quill", "B. Rook"} {
		o := observer{name: name, repeat: 0.008 + 0.008*w.Float64(), jitter: 0.05 + 0.1*w.Float64(), step: 0.1, trimmed: i%2 == 1}
		for range 1 + len(limbs) {
			o.bias = append(o.bias, 0.015*w.NormFloat64())
		}
		switch {
		case heaped, i == 1:
			o.step = 0.5
		case i == 2:
			o.heaps = 0.5
		}
		w.people = append(w.people, o)
	}
	total := 0.0
	for range frogs {
		share := w.logSeries(0.99)
		w.shares = append(w.shares, share)
		total += share
	}
	for i := range w.shares {
		w.shares[i] /= total
	}
	for _, f := range frogs {
		if w.forms[f.shape] == nil {
			for range limbs {
				w.forms[f.shape] = append(w.forms[f.shape], 0.12*w.NormFloat64())
			}
			if f.drum > 1.3 { // the ear drum of females is a little smaller than the eye
				w.forms[f.shape][4] = w.forms[f.shape][3] + math.Log(0.105/0.075*0.88)
			}
		}
	}
	return w
}

// keepSpecies leaves the first species only.
func (w *fieldwork) keepSpecies(n int) {
	total := 0.0
	for _, share := range w.shares[:n] {
		total += share
	}
	for i := range w.shares {
		w.shares[i] /= total
	}
	clear(w.shares[n:])
}

// logSeries draws from Fisher's log-series: p(k) = −xᵏ / (k ln(1 − x)).
func (w *fieldwork) logSeries(x float64) float64 {
	u, k := w.Float64(), 1.0
	for p := -x / math.Log1p(-x); u > p && k < 1e6; k++ {
		u -= p
		p *= x * k / (k + 1)
	}
	return k
}

func (w *fieldwork) species() frog {
	at := w.Float64()
	for i, share := range w.shares {
		if at < share {
			return frogs[i]
		}
		at -= share
	}
	return frogs[0]
}

// work writes n captures: nights of some fifteen at one site by one person.
func (w *fieldwork) work(n int) {
	day := time.Date(2021, 4, 12, 0, 0, 0, 0, time.UTC)
	for night := 0; len(w.rows) < n; night++ {
		who, site := &w.people[w.IntN(len(w.people))], w.sites[w.IntN(len(w.sites))]
		bags := w.bagsOf()
		for range min(8+w.IntN(14), n-len(w.rows)) {
			w.capture(who, site, day, bags)
		}
		if day = day.AddDate(0, 0, 1+w.IntN(6)); day.Month() > time.September {
			day = time.Date(day.Year()+1, 4, 8, 0, 0, 0, 0, time.UTC)
		}
	}
}

// bags are those of a night: empty masses of the small and the large, and how
// much wetter each is than the one before.
type bags struct{ small, large, wet, wetter float64 }

func (w *fieldwork) bagsOf() *bags {
	b := &bags{small: 2.4 + 0.15*w.NormFloat64(), large: 6.1 + 0.2*w.NormFloat64()}
	if w.Float64() < 0.2 {
		b.wet, b.wetter = 0.3, 0.06
	}
	return b
}

func (w *fieldwork) capture(who *observer, site string, day time.Time, b *bags) {
	a := w.caught(site, day)
	row := make([]string, len(fieldHeadings))
	row[0], row[atDate], row[2], row[3], row[17] = fmt.Sprintf("MC-%04d", len(w.rows)+1), day.Format(time.DateOnly), site, a.name, who.name
	row[atMark] = a.mark
	length := a.length(day)
	grown := length > 0.72*a.asymptote
	w.describe(row, a, grown)
	row[atSVL] = w.read(who, 0, length)
	for k, l := range limbs {
		row[atSVL+1+k] = w.read(who, 1+k, w.limbOf(a, k, length, l))
	}
	mass := a.mass * math.Pow(length/a.svl, 3) * math.Exp(a.stout+0.07*w.NormFloat64())
	if grown && a.sex == "female" && day.Month() < time.June && w.Float64() < 0.4 {
		mass *= 1.12 + 0.1*w.Float64()
		if w.Float64() < 0.5 {
			row[atRemarks] = "gravid"
		}
	}
	w.weigh(row, mass, b)
	w.rows = append(w.rows, row)
}

// caught returns an animal of the site, one in four an old acquaintance.
func (w *fieldwork) caught(site string, day time.Time) *animal {
	var known []*animal
	for _, a := range w.animals {
		if a.site == site {
			known = append(known, a)
		}
	}
	if len(known) > 5 && w.Float64() < 0.25 {
		return known[w.IntN(len(known))]
	}
	a := &animal{frog: w.species(), site: site, sex: "female", rate: 0.7 + 0.5*w.Float64(), stout: 0.07 * w.NormFloat64()}
	a.asymptote = a.svl * 1.08
	if w.Float64() < 0.5 {
		a.sex, a.asymptote = "male", a.asymptote*a.male
	}
	a.asymptote *= math.Exp(0.05 * w.NormFloat64())
	years := 1.2 + 3*w.Float64()
	if w.Float64() < 0.2 || w.unstaged && w.Float64() < 0.3 {
		years = 0.05 + 0.6*w.Float64()
	}
	a.born = day.AddDate(0, 0, -int(365*years))
	leg := 0.02 * w.NormFloat64()
	for _, l := range limbs {
		d := l.cv * w.NormFloat64()
		if l.heading == "Tibia" || l.heading == "Femur" || l.heading == "Foot" {
			d += leg
		}
		a.form = append(a.form, d)
	}
	if w.Float64() < 0.6 {
		w.nextMark++
		a.mark = fmt.Sprintf("%s%03d", site[:1], w.nextMark)
		w.animals = append(w.animals, a)
	}
	return a
}

func (w *fieldwork) limbOf(a *animal, k int, length float64, l limb) float64 {
	mature := 0.72 * a.svl
	x, slope := math.Log(length/mature), l.old
	if x < 0 {
		slope = l.young
		if w.unstaged {
			slope = l.old + 3*(l.young-l.old)
		}
	}
	v := l.ratio * a.svl * math.Pow(mature/a.svl, l.old) * math.Exp(slope*x+a.form[k]+w.forms[a.shape][k])
	if l.heading == "Tymp" && a.sex == "male" && x > 0 {
		v *= a.drum
	}
	return v
}

// describe writes sex and stage, or leaves them blank.
func (w *fieldwork) describe(row []string, a *animal, grown bool) {
	row[5] = "juvenile"
	if grown {
		row[5] = "adult"
		if w.Float64() < 0.7 {
			row[atSex] = a.sex
		}
	}
	if w.unstaged || w.Float64() < 0.35 {
		row[5] = ""
	}
}

// read writes a length as a person reads it, blank one time in twenty.
func (w *fieldwork) read(who *observer, k int, length float64) string {
	v := length*math.Exp(who.bias[k]+who.repeat*w.NormFloat64()) + who.jitter*w.NormFloat64()
	step := who.step
	if w.Float64() < who.heaps {
		step = 0.5
	}
	if w.Float64() < 0.05 {
		return ""
	}
	return written(math.Max(step, math.Round(v/step)*step), who.trimmed)
}

func written(v float64, trimmed bool) string {
	if v = math.Round(v*100) / 100; trimmed {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', 1, 64)
}

// weigh writes gross and bag, or a net where the scale was zeroed.
func (w *fieldwork) weigh(row []string, mass float64, b *bags) {
	step, bag := 0.1, b.small
	if mass > 20 {
		bag = b.large
	}
	if mass > 30 || w.heaped && mass > 8 {
		step = 0.5
	}
	b.wet += b.wetter
	bag += b.wet + 0.08*w.NormFloat64()
	graded := func(v float64) string { return written(math.Max(step, math.Round(v/step)*step), false) }
	switch u := w.Float64(); {
	case u < 0.05:
	case u < 0.2:
		row[atNet] = graded(mass)
	default:
		row[atGross], row[atBag] = graded(mass+bag), graded(bag)
	}
}

// sheet returns headings and rows.
func (w *fieldwork) sheet() [][]string { return slices.Concat([][]string{fieldHeadings}, w.rows) }

const fieldSurvey = `dataset:
  id: https://marrow-creek.invalid/population
  title: Population
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{family: Varga}]
sheets: [{file: sheet.csv}]
mapping:
  key: [recordNumber]
  session: [eventDate, locality]
  weighing: {way: same-row, unit: g}
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Site, term: locality}
    - {heading: Species, term: scientificName}
    - {heading: Sex, term: sex}
    - {heading: Stage, term: lifeStage}
    - {heading: Mark, term: organismID}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, measurement: tibiaLength, unit: mm}
    - {heading: Femur, measurement: femurLength, unit: mm}
    - {heading: Head W, measurement: headWidth, unit: mm}
    - {heading: Eye, measurement: eyeDiameter, unit: mm}
    - {heading: Tymp, measurement: tympanumDiameter, unit: mm}
    - {heading: Foot, measurement: footLength, unit: mm}
    - {heading: Gross, weighing: gross}
    - {heading: Bag, weighing: tare}
    - {heading: Net, weighing: net}
    - {heading: Observer, term: recordedBy}
    - {heading: Notes, term: occurrenceRemarks}
`
