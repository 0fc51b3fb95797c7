package main

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// creekBook is notebook no. 3 of 1987: three ponds one under another, each
// with a label above, dates and names carried down, inches and ounces.
func creekBook(rng *rand.Rand, t *truth) *page {
	c := &creek{page: newBook("1987"), rng: rng, t: t}
	c.put(1, 1, "Marrow Creek Field Station")
	c.put(2, 1, "Amphibian notebook no. 3, typed up in 1991")
	c.put(4, 1, "Observers:", "H. Dufresne & B. Kowal")
	c.put(5, 1, "Weather:", "overcast, light rain")
	c.put(6, 1, "Bag wt (oz):", "1/8")
	c.row = 8
	c.pond("Otter Pond", []string{"14.V.87", "15.V.87", "17.V.87"}, []string{"1987-05-14", "1987-05-15", "1987-05-17"}, []int{8, 7, 7})
	c.pond("Heron Slough", []string{"2.VI.87", "4.VI.87"}, []string{"1987-06-02", "1987-06-04"}, []int{9, 8})
	c.pond("Mill Ditch", []string{"28.VII.87", "30.VII.87"}, []string{"1987-07-28", "1987-07-30"}, []int{8, 7})
	c.put(c.row, 1, "Copied from the field book by B. K.; the pencil on p. 14 is hardly legible.")
	for _, h := range [][3]string{
		{"Observers", "recordedBy", ""}, {"Weather", "eventRemarks", ""}, {"Bag wt (oz)", "tare", "[oz_av]"}, {"Pond", "locality", ""},
		{"No.", "recordNumber", ""}, {"Date", "eventDate", ""}, {"Species", "scientificName", ""}, {"Sex", "sex", ""},
		{"Lengths S-V", "snoutVentLength", "[in_i]"}, {"Lengths Tibia", "tibiaLength", "[in_i]"}, {"Lengths Head W", "headWidth", "[in_i]"},
		{"Weight with bag", "gross", "[oz_av]"}, {"Remarks", "occurrenceRemarks", ""},
	} {
		t.heading("creek-1987.xls", "1987", h[0], h[1], h[2])
	}
	return c.page
}

type creek struct {
	*page
	rng         *rand.Rand
	t           *truth
	row, number int
}

// ponds of the book with their places in sites.csv: NAD27 there, WGS 84 here as
// cs2cs of PROJ 9.1.1 gives them (EPSG:4267 to EPSG:4326).
var creekPlaces = map[string][2]string{
	"Otter Pond": {"45.410289", "-76.198285"}, "Heron Slough": {"45.413989", "-76.207486"}, "Mill Ditch": {"45.405889", "-76.213986"},
}

func (c *creek) pond(name string, written, iso []string, counts []int) {
	c.put(c.row, 1, "Pond: "+name)
	c.put(c.row+1, 1, "No.", "Date", "Species", "Sex", "Lengths", "", "", "Weight", "Remarks")
	c.merge(c.row+1, 5, 7)
	c.put(c.row+2, 5, "S-V", "Tibia", "Head W", "with bag")
	c.put(c.row+3, 5, "in", "in", "in", "oz")
	c.row += 4
	var sums [4]float64
	n, last := 0.0, ""
	for d, count := range counts {
		for i := range count {
			date := ""
			if i == 0 {
				date = written[d]
			}
			k := kinds[(c.number/3+d)%len(kinds)]
			values := c.capture(k, name, date, iso[d], k.old == last && i > 0)
			last = k.old
			for j, v := range values {
				sums[j] += v
			}
			n++
		}
	}
	c.put(c.row, 1, "Mean", "", "", "", fixed(sums[0]/n, 2), fixed(sums[1]/n, 2), fixed(sums[2]/n, 2), fixed(sums[3]/n, 2))
	c.row += 2
}

// capture writes one row and returns its lengths in inches and its gross in
// ounces.
func (c *creek) capture(k kind, pond, date, iso string, again bool) [4]float64 {
	a := newAnimal(c.rng, k)
	c.number++
	species := k.old
	if again {
		species = []string{"\"", "do."}[c.number/20%2]
	}
	values := [4]float64{toPart(a.svl/inch, 16), toPart(a.tibia/inch, 16), toPart(a.head/inch, 16), toPart(a.mass/ounce+0.125, 16)}
	texts := make([]any, 4)
	for i, v := range values {
		texts[i] = fraction(v)
	}
	remark := []string{"", "", "", "in reeds", "", "calling", "", "under plank"}[c.number%8]
	svl, mass := fixed(values[0]*inch, 2), fixed((values[3]-0.125)*ounce, 3)
	switch c.number {
	case 11:
		texts[0] = texts[0].(string) + "?"
		remark = "kicked"
	case 23:
		texts[3], mass = "-", ""
	case 37:
		texts[0] = "c. " + texts[0].(string)
	case 41:
		texts[1] = texts[1].(string) + " (swollen)"
	}
	c.put(c.row, 1, c.number, date, species, map[bool]string{true: "m", false: "f"}[a.male])
	c.put(c.row, 5, texts...)
	c.put(c.row, 9, remark)
	c.row++
	p := creekPlaces[pond]
	c.t.captures = append(c.t.captures, []string{"creek-1987.xls", "1987", fmt.Sprint(c.number), k.name, iso, pond, a.sex(),
		svl, fixed(values[1]*inch, 2), mass, p[0], p[1]})
	return values
}

// toPart rounds to the n-th part.
func toPart(x float64, n float64) float64 { return math.Round(x*n) / n }

// fraction writes a multiple of a sixteenth as people do: "2 5/8", "7/8", "3".
func fraction(x float64) string {
	whole, rest := int(x), int(math.Round((x-math.Floor(x))*16))
	if rest == 0 {
		return fmt.Sprint(whole)
	}
	n := 16
	for rest%2 == 0 {
		rest, n = rest/2, n/2
	}
	if whole == 0 {
		return fmt.Sprintf("%d/%d", rest, n)
	}
	return fmt.Sprintf("%d %d/%d", whole, rest, n)
}
