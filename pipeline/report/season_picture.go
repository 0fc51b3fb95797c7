package report

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/season"
)

// maxSeasonPictures bounds the species that are drawn.
const maxSeasonPictures = 8

// draw draws for each species the sizes of its animals, their means by season,
// how marked ones grew, and the captures of each night: of the measurement that most animals have, a length if there is one.
func (v *seasonView) draw() {
	m := v.drawn()
	if m == nil {
		return
	}
	number := map[string]int{}
	for _, z := range m.Sizes {
		if z.Season == season.All {
			number[z.Species] += z.N
		}
	}
	names, drawn := frequent(number), 0
	for _, name := range names[:min(len(names), maxSeasonPictures)] {
		add := func(to *[]plot.Picture, sc plot.Scene, ok bool) {
			if ok {
				drawn++
				sc.ID = fmt.Sprintf("season-%d", drawn)
				*to = append(*to, sc.Picture())
			}
		}
		sc, ok := v.classScene(m, name)
		add(&v.Pictures, sc, ok)
		sc, ok = v.meanScene(m, name)
		add(&v.Pictures, sc, ok)
		sc, ok = v.grownScene(m, name)
		add(&v.Growth, sc, ok)
		sc, ok = v.nightScene(name)
		add(&v.PerNight, sc, ok)
	}
}

// drawn is the measurement that pictures are of: the first length, in the order of
// the outputs, that half as many animals have as any measurement, or else the
// most frequent one.
func (v *seasonView) drawn() *seasonMeasure {
	most, best := 0, -1
	number := make([]int, len(v.Measures))
	for i := range v.Measures {
		for _, z := range v.Measures[i].Sizes {
			if z.Season == season.All {
				number[i] += z.N
			}
		}
		if number[i] > most {
			most, best = number[i], i
		}
	}
	if best < 0 {
		return nil
	}
	for i := range v.Measures {
		if v.Units[v.Measures[i].Name] == "mm" && 2*number[i] >= most {
			return &v.Measures[i]
		}
	}
	return &v.Measures[best]
}

// bySex are numbers of animals in classes of sizes.
type bySex struct {
	sex   string
	count map[float64]int
}

// classScene draws how many animals of a species are in each class of sizes.
func (v *seasonView) classScene(m *seasonMeasure, species string) (plot.Scene, bool) {
	sexes, width, top, n := v.classesOf(m.Name, species)
	if n < 5 || width <= 0 {
		return plot.Scene{}, false
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	sc := plot.Scene{Title: species + ", sizes", Height: 190, NoThin: true, Heading: []string{"sex", "from", "below", "animals"}, Y: plot.Axis{Label: "animals", Lo: 0, Hi: 1.08 * float64(top)}}
	for _, s := range sexes {
		for _, from := range slices.Sorted(maps.Keys(s.count)) {
			lo, hi = min(lo, from), max(hi, from+width)
			sc.Data = append(sc.Data, []string{s.sex, season.FigureOf(from, 10), season.FigureOf(from+width, 10), strconv.Itoa(s.count[from])})
		}
		sc.Key = append(sc.Key, plot.KeyItem{Style: plot.Style{Shape: plot.Square, Ink: plot.SexStyle(s.sex).Ink}, Text: plot.SexName(s.sex)})
	}
	sc.X = plot.Axis{Label: m.Label + m.Unit, Lo: lo, Hi: hi}
	sc.Under = []plot.Layer{classLayer(sexes, width)}
	sc.Caption = fmt.Sprintf("%s in classes of %s; all seasons and stages together.", record.Plural(n, "animal"), season.FigureOf(width, 10)+" "+strings.Trim(m.Unit, " ()"))
	sc.Desc = fmt.Sprintf("Numbers of animals by %s from %s to %s, for each sex.", m.Label, season.FigureOf(lo, 10), season.FigureOf(hi, 10))
	return sc, true
}

// classesOf adds the classes of a species up over stages and seasons.
func (v *seasonView) classesOf(measurement, species string) (sexes []bySex, width float64, top, n int) {
	for _, c := range v.Classes {
		if c.Measurement != measurement || c.Species != species {
			continue
		}
		name := c.Sex
		if plot.SexName(name) != name {
			name = "other"
		}
		i := slices.IndexFunc(sexes, func(s bySex) bool { return s.sex == name })
		if i < 0 {
			i = len(sexes)
			sexes = append(sexes, bySex{name, map[float64]int{}})
		}
		sexes[i].count[c.From] += c.N
		top, n, width = max(top, sexes[i].count[c.From]), n+c.N, c.Below-c.From
	}
	return sexes, width, top, n
}

// classLayer draws the sexes of each class beside each other.
func classLayer(sexes []bySex, width float64) plot.Layer {
	return func(a plot.Area) {
		part := width * 0.84 / float64(len(sexes))
		for i, s := range sexes {
			path := a.Path()
			for _, from := range slices.Sorted(maps.Keys(s.count)) {
				left := from + 0.08*width + float64(i)*part
				low, high, x0, x1 := a.AtY(0), a.AtY(float64(s.count[from])), a.AtX(left), a.AtX(left+0.92*part)
				path.Through(plot.Point{X: x0, Y: low}, plot.Point{X: x0, Y: high}, plot.Point{X: x1, Y: high}, plot.Point{X: x1, Y: low})
				path.Close()
			}
			a.Fill(path, plot.SexStyle(s.sex).Ink)
		}
	}
}

// meanScene draws the means of a species by season with their intervals.
func (v *seasonView) meanScene(m *seasonMeasure, species string) (plot.Scene, bool) {
	var rows []season.Size
	var seasons, sexes []string
	for _, z := range m.Sizes {
		if z.Species != species || z.Season == season.All || z.N < 2 || z.Low != z.Low {
			continue
		}
		rows = append(rows, z)
		if !slices.Contains(seasons, z.Season) {
			seasons = append(seasons, z.Season)
		}
		if !slices.Contains(sexes, z.Sex) {
			sexes = append(sexes, z.Sex)
		}
	}
	if len(seasons) < 2 {
		return plot.Scene{}, false
	}
	slices.Sort(seasons)
	sc := plot.Scene{Title: species + ", season by season", Height: 190, NoThin: true, Heading: []string{"sex", "stage", "season", "n", "mean", "from", "to"},
		Y: plot.Axis{Label: m.Label + m.Unit}, X: plot.Axis{Label: "season", Lo: -0.6, Hi: float64(len(seasons)) - 0.4, Ticks: namedTicks(seasons)}}
	sc.Y.Lo, sc.Y.Hi = math.Inf(1), math.Inf(-1)
	var at []float64
	for _, z := range rows {
		sc.Y.Lo, sc.Y.Hi = min(sc.Y.Lo, z.Low), max(sc.Y.Hi, z.High)
		at = append(at, float64(slices.Index(seasons, z.Season))+0.16*(float64(slices.Index(sexes, z.Sex))-float64(len(sexes)-1)/2))
		sc.Data = append(sc.Data, []string{z.Sex, z.Stage, z.Season, strconv.Itoa(z.N), figure(z.Mean), figure(z.Low), figure(z.High)})
	}
	pad := 0.05 * (sc.Y.Hi - sc.Y.Lo)
	sc.Y.Lo, sc.Y.Hi = sc.Y.Lo-pad, sc.Y.Hi+pad
	for _, sex := range sexes {
		sc.Key = append(sc.Key, plot.KeyItem{Style: plot.SexStyle(sex), Text: plot.SexName(sex)})
	}
	sc.Under = []plot.Layer{func(a plot.Area) {
		for i, z := range rows {
			s := plot.SexStyle(z.Sex)
			x := a.AtX(at[i])
			a.Line(plot.Stroke{Ink: s.Ink, Width: 1}, x, a.AtY(z.Low), x, a.AtY(z.High))
			s.Shape.Paint(a.Canvas, s.Ink, []plot.Point{{X: x, Y: a.AtY(z.Mean)}}, plot.MarkSize)
		}
	}}
	sc.Caption = "The mean of each season with its confidence interval of " + v.Percent + "."
	sc.Desc = fmt.Sprintf("Means of %s by season and sex with intervals; the data are below.", m.Label)
	return sc, true
}

// namedTicks marks an axis at 0, 1, 2 and so on by names, some of them where
// there are many.
func namedTicks(names []string) plot.Ticker {
	step := (len(names) + 5) / 6
	var out []plot.Tick
	for i := 0; i < len(names); i += step {
		out = append(out, plot.Tick{Value: float64(i), Label: names[i]})
	}
	return func(lo, hi float64) []plot.Tick { return out }
}
