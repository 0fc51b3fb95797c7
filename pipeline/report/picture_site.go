package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/report/plot"
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
		Hint: "Places by their coordinates, without a map; north is up. Look for a place where you have no site: a wrong digit, two swapped numbers, another datum."}
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

func siteScene(all []placed, number int, exact bool, n int) plot.Scene {
	sc := plot.Scene{Title: record.Plural(number, "place"), Total: number, Height: 320, Heading: []string{"place", "decimalLatitude", "decimalLongitude", "captures"}, NoThin: len(all) <= plot.MaxMarks,
		X: plot.Axis{Label: "longitude (°)"}, Y: plot.Axis{Label: "latitude (°)"}}
	if !exact {
		sc.Title = "About " + sc.Title
	}
	generalised := 0
	for _, st := range all {
		generalised += truth(st.spot.Generalised)
		sc.Marks = append(sc.Marks, plot.Mark{X: st.spot.Longitude, Y: st.spot.Latitude, Style: plot.Style{Shape: plot.Disc, Ink: plot.InkOne}, No: st.no,
			Note: func() plot.Note {
				return plot.Note{Text: st.spot.Name + ", capture " + st.say, AtX: st.spot.Name,
					Line: []string{st.spot.Name, degrees(st.spot.Latitude), degrees(st.spot.Longitude), strconv.Itoa(st.n)}}
			}})
	}
	sc.X.Lo, sc.X.Hi = plot.Window(sc.Marks, func(m *plot.Mark) float64 { return m.X }, false)
	sc.Y.Lo, sc.Y.Hi = plot.Window(sc.Marks, func(m *plot.Mark) float64 { return m.Y }, false)
	metres := squareUp(&sc.X, &sc.Y)
	sc.Over = append(sc.Over, scaleBar(metres), nameLayer(all))
	sc.Caption = fmt.Sprintf("%s at %s; the number after each name is the number of captures.", record.Plural(n, "capture"), record.Plural(number, "place"))
	if generalised > 0 {
		sc.Caption += fmt.Sprintf(" %s drawn at a generalised position.", are(generalised))
	}
	sc.Desc = "Places by longitude and latitude, with a scale bar."
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
func squareUp(x, y *plot.Axis) (metres float64) {
	const across, up = 270.0, 235.0 // of the area within the axes, about
	east, north := perDegree((y.Lo + y.Hi) / 2)
	needX, needY := (x.Hi-x.Lo)*east/across, (y.Hi-y.Lo)*north/up
	scale := math.Max(math.Max(needX, needY)*1.25, 1)
	widen := func(a *plot.Axis, half float64) {
		middle := (a.Lo + a.Hi) / 2
		a.Lo, a.Hi = middle-half, middle+half
	}
	widen(x, scale*across/east/2)
	widen(y, scale*up/north/2)
	return scale * across
}

// scaleBar draws a round distance in the lower right corner.
func scaleBar(metres float64) plot.Layer {
	return func(a plot.Area) {
		long := math.Pow(10, math.Floor(math.Log10(metres/3)))
		for _, m := range []float64{5, 2} {
			if long*m <= metres/3 {
				long *= m
				break
			}
		}
		w := float64(long/metres) * (a.Max.X - a.Min.X)
		words := figure(long) + " m"
		if long >= 1000 {
			words = figure(long/1000) + " km"
		}
		x, y := a.Max.X-w-2, a.Min.Y+8
		st := plot.Stroke{Ink: plot.InkText, Width: 1.4}
		a.Lines(st, plot.Point{X: x, Y: y + 4}, plot.Point{X: x, Y: y}, plot.Point{X: x + w, Y: y}, plot.Point{X: x + w, Y: y + 4})
		s := plot.Span{Text: words}
		plot.Write(a.Canvas, plot.InkText, plot.SmallType, x+w/2-s.Width(plot.SmallType)/2, y+5, s)
	}
}

// nameLayer writes the names of the places where there is space, the places
// with most captures first.
func nameLayer(all []placed) plot.Layer {
	return func(a plot.Area) {
		order := make([]int, len(all))
		at := make([]plot.Point, len(all))
		var taken []plot.Box
		for i, st := range all {
			order[i] = i
			at[i], _ = a.Place(st.spot.Longitude, st.spot.Latitude)
			taken = append(taken, plot.Around(at[i], plot.MarkSize+1))
		}
		taken = append(taken, plot.Box{X0: a.Max.X - 100, Y0: a.Min.Y, X1: a.Max.X, Y1: a.Min.Y + 24})
		sorting.StableFunc(order, func(a, b int) int { return all[b].n - all[a].n })
		for _, i := range order[:min(len(order), maxNamedSites)] {
			if all[i].no > 0 || all[i].spot.Name == "" {
				continue
			}
			words := []plot.Span{{Text: findings.Shortened(all[i].spot.Name, 30)}, {Text: " " + strconv.Itoa(all[i].n), Bold: true}}
			if b, ok := a.Free(at, taken, at[i], plot.Width(words, plot.SmallType)); ok {
				a.Lead(plot.InkQuiet, at[i], b)
				plot.Write(a.Canvas, plot.InkQuiet, plot.SmallType, b.X0+1, b.Y0+2, words...)
				taken = append(taken, b)
			}
		}
	}
}
