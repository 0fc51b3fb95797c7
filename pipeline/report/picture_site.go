package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// maxNamedSites bounds the places that are named in the picture.
const maxNamedSites = 25

// placed is a place that is drawn.
type placed struct {
	spot Spot
	n    int
	no   int
	say  string
}

// places draws the places in plain coordinates.
func (s *studio) places() album {
	a := album{large: s.large, ID: "site", Name: "Sites",
		Look: "Places by their coordinates, without a map; north is up. Look for a place where you have no site: a wrong digit, two swapped numbers, another datum."}
	if s.asked.Place == nil {
		return a
	}
	all := s.gatherSites()
	if len(all) < 2 {
		return a
	}
	number, exact := s.sites.number()
	a.add(siteScene(all, max(number, len(all)), exact, s.sites.placed))
	return a
}

// gatherSites lists the places with what doubts them. A doubted place that is
// not among those counted is drawn all the same.
func (s *studio) gatherSites() []placed {
	all := make([]placed, len(s.sites.all))
	for i, st := range s.sites.all {
		all[i] = placed{spot: st.spot, n: st.n}
	}
	for _, c := range s.kept {
		if c.site == nil || len(c.flags) == 0 {
			continue
		}
		no := c.placeNo()
		if no == 0 {
			continue
		}
		i := c.site.at
		if i < 0 {
			if no < 0 {
				continue
			}
			i = len(all)
			all = append(all, placed{spot: c.site.spot, n: 1})
		}
		all[i].no = least(all[i].no, no)
		all[i].say = c.key
	}
	return all
}

// placeNo is the entry that doubts the place of a capture.
func (s *sketch) placeNo() int {
	return s.doubts(func(f *flag) bool {
		return pictured(f.field) >= termsOfPlace || f.at.column > 0 && slices.Contains(s.placeAt, f.at)
	})
}

func siteScene(all []placed, number int, exact bool, n int) scene {
	sc := scene{title: record.Plural(number, "place"), total: number, height: 320, heading: []string{"place", "decimalLatitude", "decimalLongitude", "captures"}, noThin: len(all) <= maxMarks,
		x: axis{label: "longitude (°)"}, y: axis{label: "latitude (°)"}}
	if !exact {
		sc.title = "About " + sc.title
	}
	generalised := 0
	for _, st := range all {
		generalised += truth(st.spot.Generalised)
		sc.marks = append(sc.marks, mark{x: st.spot.Longitude, y: st.spot.Latitude, style: style{disc, inkOne}, no: st.no,
			note: func() note {
				return note{text: st.spot.Name + ", capture " + st.say, atX: st.spot.Name,
					line: []string{st.spot.Name, degrees(st.spot.Latitude), degrees(st.spot.Longitude), strconv.Itoa(st.n)}}
			}})
	}
	sc.x.lo, sc.x.hi = window(sc.marks, func(m *mark) float64 { return m.x }, false)
	sc.y.lo, sc.y.hi = window(sc.marks, func(m *mark) float64 { return m.y }, false)
	metres := squareUp(&sc.x, &sc.y)
	sc.over = append(sc.over, scaleBar(metres), nameLayer(all))
	sc.look = fmt.Sprintf("%s at %s; the number after each name is the number of captures.", record.Plural(n, "capture"), record.Plural(number, "place"))
	if generalised > 0 {
		sc.look += fmt.Sprintf(" %s drawn at a generalised position.", are(generalised))
	}
	sc.desc = "Places by longitude and latitude, with a scale bar."
	return sc
}

func are(n int) string {
	if n == 1 {
		return "1 is"
	}
	return strconv.Itoa(n) + " are"
}

func degrees(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// perDegree returns the length of a degree of longitude and of latitude in
// metres, by the usual series for the WGS 84 ellipsoid.
func perDegree(latitude float64) (east, north float64) {
	f := latitude * math.Pi / 180
	return 111412.84*math.Cos(f) - 93.5*math.Cos(3*f) + 0.118*math.Cos(5*f),
		111132.92 - 559.82*math.Cos(2*f) + 1.175*math.Cos(4*f) - 0.0023*math.Cos(6*f)
}

// squareUp widens one axis until a metre is as long on both, and returns the
// metres across the picture.
func squareUp(x, y *axis) (metres float64) {
	const across, up = 270.0, 235.0 // of the area within the axes, about
	east, north := perDegree((y.lo + y.hi) / 2)
	needX, needY := (x.hi-x.lo)*east/across, (y.hi-y.lo)*north/up
	scale := math.Max(math.Max(needX, needY)*1.25, 1)
	widen := func(a *axis, half float64) {
		middle := (a.lo + a.hi) / 2
		a.lo, a.hi = middle-half, middle+half
	}
	widen(x, scale*across/east/2)
	widen(y, scale*up/north/2)
	return scale * across
}

// scaleBar draws a round distance in the lower right corner.
func scaleBar(metres float64) layer {
	return func(a area) {
		long := math.Pow(10, math.Floor(math.Log10(metres/3)))
		for _, m := range []float64{5, 2} {
			if long*m <= metres/3 {
				long *= m
				break
			}
		}
		w := float64(long/metres) * (a.max.x - a.min.x)
		words := figure(long) + " m"
		if long >= 1000 {
			words = figure(long/1000) + " km"
		}
		x, y := a.max.x-w-2, a.min.y+8
		st := stroke{ink: inkText, width: 1.4}
		a.lines(st, point{x, y + 4}, point{x, y}, point{x + w, y}, point{x + w, y + 4})
		s := span{text: words}
		write(a.canvas, inkText, smallType, x+w/2-s.width(smallType)/2, y+5, s)
	}
}

// nameLayer writes the names of the places where there is space, the places
// with most captures first.
func nameLayer(all []placed) layer {
	return func(a area) {
		order := make([]int, len(all))
		at := make([]point, len(all))
		var taken []box
		for i, st := range all {
			order[i] = i
			at[i], _ = a.place(st.spot.Longitude, st.spot.Latitude)
			taken = append(taken, around4(at[i], markSize+1))
		}
		taken = append(taken, box{a.max.x - 100, a.min.y, a.max.x, a.min.y + 24})
		sorting.StableFunc(order, func(a, b int) int { return all[b].n - all[a].n })
		for _, i := range order[:min(len(order), maxNamedSites)] {
			if all[i].no > 0 || all[i].spot.Name == "" {
				continue
			}
			words := []span{{text: shortened(all[i].spot.Name, 30)}, {text: " " + strconv.Itoa(all[i].n), bold: true}}
			if b, ok := a.free(at, taken, at[i], width(words, smallType)); ok {
				a.lead(inkQuiet, at[i], b)
				write(a.canvas, inkQuiet, smallType, b.x0+1, b.y0+2, words...)
				taken = append(taken, b)
			}
		}
	}
}
