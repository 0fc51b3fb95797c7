package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// ternBook is the notebook of 1992: section rows and replicates in spring, two
// tables side by side in July, animals as columns for the recaptures, a key.
func ternBook(rng *rand.Rand, t *truth) *page {
	b := &tern{page: newBook("Spring 92"), rng: rng, t: t}
	b.spring()
	first := b.page
	b.page = first.next("July 92")
	b.july()
	b.page = first.next("Recaptures")
	b.recaptures()
	key := first.next("Key")
	key.put(1, 1, "Code", "Meaning")
	for i, k := range kinds {
		key.put(2+i, 1, k.code, k.old)
	}
	key.put(7, 1, "nm", "not measured")
	return first
}

type tern struct {
	*page
	rng    *rand.Rand
	t      *truth
	number int
}

// ternPonds have their grid references in NAD27, zone 18, and WGS 84 as cs2cs
// of PROJ 9.1.1 gives it (EPSG:26718 to EPSG:4326).
var ternPonds = []struct {
	name              string
	easting, northing int
	latitude          string
	longitude         string
}{
	{"Pond A", 406120, 5028940, "45.409726", "-76.199470"},
	{"Pond B", 405580, 5028360, "45.404434", "-76.206258"},
	{"Pond C", 406940, 5029730, "45.416945", "-76.189142"},
}

// slough is the place of Tern Slough in sites.csv, and Pond B below as it
// is there: NAD27 there, WGS 84 here as cs2cs gives it (EPSG:4267 to
// EPSG:4326).
var slough = [2]string{"45.418089", "-76.196885"}

func half(x float64) float64 { return math.Round(x*2) / 2 }

func (b *tern) spring() {
	b.put(1, 1, "Tern Slough and the ponds round it, spring 1992")
	b.put(2, 1, "Recorder:", "A. Quill")
	b.put(3, 1, "UTM zone:", "18T")
	b.put(4, 1, "Map datum:", "NAD27")
	b.put(6, 1, "No", "Date", "Time", "Sp", "Sex", "SVL1", "SVL2", "SVL3", "Tibia (mm)", "Frog+bag (g)", "Bag (g)", "Easting", "Northing", "Notes")
	row := 7
	day := time.Date(1992, 4, 21, 0, 0, 0, 0, time.UTC)
	style, err := b.f.NewStyle(&excelizeDate)
	must(err)
	for p, pond := range ternPonds {
		if p > 0 {
			b.put(row, 1, pond.name)
			row++
		}
		for i := range 10 {
			a := newAnimal(b.rng, kinds[b.rng.IntN(len(kinds))])
			b.number++
			bag := 4.5 + 0.5*float64(b.rng.IntN(2))
			gross := half(a.mass) + bag
			caught := day.AddDate(0, 0, 3*p+i/4)
			var svl [3]string
			for j := range svl {
				svl[j] = fixed(a.svl+b.rng.NormFloat64()*0.25, 1)
			}
			if b.number == 14 {
				svl[2] = "nm"
			}
			b.put(row, 1, b.number, caught, fmt.Sprintf("%d:%02d", 20+i/5, b.rng.IntN(60)), a.kind.code, map[bool]string{true: "M", false: "F"}[a.male])
			must(b.f.SetCellStyle(b.tab, at(2, row), at(2, row), style))
			for j, s := range svl {
				b.put(row, 6+j, number(s))
			}
			b.put(row, 9, number(fixed(a.tibia, 1)), gross, bag, pond.easting, pond.northing, []string{"", "", "calling", "", "in sedge"}[i%5])
			if b.number == 8 {
				b.comment(row, 6, "pulled a leg, not straight")
			}
			if b.number == 21 {
				b.comment(row, 10, "bag was wet")
			}
			b.t.captures = append(b.t.captures, []string{"tern-1992.ods", "Spring 92", fmt.Sprint(b.number), a.kind.name, caught.Format("2006-01-02"), pond.name, a.sex(),
				svl[0], fixed(a.tibia, 1), fixed(gross-bag, 1), pond.latitude, pond.longitude})
			row++
		}
	}
	for _, h := range [][3]string{{"Recorder", "recordedBy", ""}, {"UTM zone", "verbatimCoordinateSystem", ""}, {"Map datum", "geodeticDatum", ""}, {"section", "locality", ""},
		{"No", "recordNumber", ""}, {"Date", "eventDate", ""}, {"Time", "eventTime", ""}, {"Sp", "scientificName", ""}, {"Sex", "sex", ""},
		{"SVL1", "snoutVentLength #1", "mm"}, {"SVL2", "snoutVentLength #2", "mm"}, {"SVL3", "snoutVentLength #3", "mm"}, {"Tibia (mm)", "tibiaLength", "mm"},
		{"Frog+bag (g)", "gross", "g"}, {"Bag (g)", "tare", "g"}, {"Easting", "verbatimLongitude", ""}, {"Northing", "verbatimLatitude", ""}, {"Notes", "occurrenceRemarks", ""}} {
		b.t.heading("tern-1992.ods", "Spring 92", h[0], h[1], h[2])
	}
}

// july has leopard frogs on the left and toads on the right.
func (b *tern) july() {
	b.put(1, 1, "July round, two observers at two tables")
	for side, k := range []kind{kinds[0], kinds[4]} {
		left := 1 + 7*side
		b.put(3, left, "Species: "+k.old)
		b.put(4, left, "Observer: "+[]string{"A. Quill", "M. Tessier"}[side])
		b.put(5, left, "No", "Date", "Sex", "SVL (mm)", "Shank (mm)", "Mass (g)")
		for i := range 11 + side {
			a := newAnimal(b.rng, k)
			b.number++
			day := 11 + i/3
			b.put(6+i, left, b.number, fmt.Sprintf("%d July 92", day), map[bool]string{true: "male", false: "female"}[a.male],
				number(fixed(a.svl, 1)), number(fixed(a.tibia, 1)), half(a.mass))
			b.t.captures = append(b.t.captures, []string{"tern-1992.ods", "July 92", fmt.Sprint(b.number), k.name, fmt.Sprintf("1992-07-%02d", day), "Tern Slough", a.sex(),
				fixed(a.svl, 1), fixed(a.tibia, 1), fixed(half(a.mass), 1), slough[0], slough[1]})
		}
	}
	for _, h := range [][3]string{{"Species", "scientificName", ""}, {"Observer", "recordedBy", ""}, {"No", "recordNumber", ""}, {"Date", "eventDate", ""},
		{"Sex", "sex", ""}, {"SVL (mm)", "snoutVentLength", "mm"}, {"Shank (mm)", "tibiaLength", "mm"}, {"Mass (g)", "net", "g"}} {
		b.t.heading("tern-1992.ods", "July 92", h[0], h[1], h[2])
	}
}

// recaptures has one animal in each column.
func (b *tern) recaptures() {
	headings := [][3]string{{"Frog no", "recordNumber", ""}, {"Toe clip", "organismID", ""}, {"Date", "eventDate", ""}, {"Site", "locality", ""}, {"Species", "scientificName", ""},
		{"Sex", "sex", ""}, {"SVL (mm)", "snoutVentLength", "mm"}, {"Shank (mm)", "tibiaLength", "mm"}, {"Head width (mm)", "headWidth", "mm"}, {"Weight (g)", "net", "g"}}
	for i, h := range headings {
		b.put(1+i, 1, h[0])
		b.t.heading("tern-1992.ods", "Recaptures", h[0], h[1], h[2])
	}
	for i := range 12 {
		a := newAnimal(b.rng, kinds[b.rng.IntN(len(kinds))])
		b.number++
		site, place := "Pond B", [2]string{"45.404389", "-76.206286"}
		if i >= 6 {
			site, place = "Tern Slough", slough
		}
		iso := fmt.Sprintf("1992-08-%02d", 3+i/3)
		for j, v := range []any{b.number, fmt.Sprintf("%c%d", 'A'+i%4, 11+i), iso, site, a.kind.old, a.sex(),
			number(fixed(a.svl, 1)), number(fixed(a.tibia, 1)), number(fixed(a.head, 1)), half(a.mass)} {
			b.put(1+j, 2+i, v)
		}
		b.t.captures = append(b.t.captures, []string{"tern-1992.ods", "Recaptures", fmt.Sprint(b.number), a.kind.name, iso, site, a.sex(),
			fixed(a.svl, 1), fixed(a.tibia, 1), fixed(half(a.mass), 1), place[0], place[1]})
	}
}
