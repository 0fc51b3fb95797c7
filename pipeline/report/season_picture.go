package report

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
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
		add := func(to *[]picture, sc scene, ok bool) {
			if ok {
				drawn++
				sc.id = fmt.Sprintf("season-%d", drawn)
				*to = append(*to, sc.picture())
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
func (v *seasonView) classScene(m *seasonMeasure, species string) (scene, bool) {
	sexes, width, top, n := v.classesOf(m.Name, species)
	if n < 5 || width <= 0 {
		return scene{}, false
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	sc := scene{title: species + ", sizes", height: 190, noThin: true, heading: []string{"sex", "from", "below", "animals"}, y: axis{label: "animals", lo: 0, hi: 1.08 * float64(top)}}
	for _, s := range sexes {
		for _, from := range slices.Sorted(maps.Keys(s.count)) {
			lo, hi = min(lo, from), max(hi, from+width)
			sc.data = append(sc.data, []string{s.sex, season.FigureOf(from, 10), season.FigureOf(from+width, 10), strconv.Itoa(s.count[from])})
		}
		sc.key = append(sc.key, keyItem{style{square, sexStyle(s.sex).ink}, sexName(s.sex)})
	}
	sc.x = axis{label: m.Label + m.Unit, lo: lo, hi: hi}
	sc.under = []layer{classLayer(sexes, width)}
	sc.look = fmt.Sprintf("%s in classes of %s; all seasons and stages together.", record.Plural(n, "animal"), season.FigureOf(width, 10)+" "+strings.Trim(m.Unit, " ()"))
	sc.desc = fmt.Sprintf("Numbers of animals by %s from %s to %s, for each sex.", m.Label, season.FigureOf(lo, 10), season.FigureOf(hi, 10))
	return sc, true
}

// classesOf adds the classes of a species up over stages and seasons.
func (v *seasonView) classesOf(measurement, species string) (sexes []bySex, width float64, top, n int) {
	for _, c := range v.Classes {
		if c.Measurement != measurement || c.Species != species {
			continue
		}
		name := c.Sex
		if sexName(name) != name {
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
func classLayer(sexes []bySex, width float64) layer {
	return func(a area) {
		part := width * 0.84 / float64(len(sexes))
		for i, s := range sexes {
			path := a.path()
			for _, from := range slices.Sorted(maps.Keys(s.count)) {
				left := from + 0.08*width + float64(i)*part
				low, high, x0, x1 := a.atY(0), a.atY(float64(s.count[from])), a.atX(left), a.atX(left+0.92*part)
				path.through(point{x0, low}, point{x0, high}, point{x1, high}, point{x1, low})
				path.close()
			}
			a.fill(path, sexStyle(s.sex).ink)
		}
	}
}

// meanScene draws the means of a species by season with their intervals.
func (v *seasonView) meanScene(m *seasonMeasure, species string) (scene, bool) {
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
		return scene{}, false
	}
	slices.Sort(seasons)
	sc := scene{title: species + ", season by season", height: 190, noThin: true, heading: []string{"sex", "stage", "season", "n", "mean", "from", "to"},
		y: axis{label: m.Label + m.Unit}, x: axis{label: "season", lo: -0.6, hi: float64(len(seasons)) - 0.4, ticks: namedTicks(seasons)}}
	sc.y.lo, sc.y.hi = math.Inf(1), math.Inf(-1)
	var at []float64
	for _, z := range rows {
		sc.y.lo, sc.y.hi = min(sc.y.lo, z.Low), max(sc.y.hi, z.High)
		at = append(at, float64(slices.Index(seasons, z.Season))+0.16*(float64(slices.Index(sexes, z.Sex))-float64(len(sexes)-1)/2))
		sc.data = append(sc.data, []string{z.Sex, z.Stage, z.Season, strconv.Itoa(z.N), figure(z.Mean), figure(z.Low), figure(z.High)})
	}
	pad := 0.05 * (sc.y.hi - sc.y.lo)
	sc.y.lo, sc.y.hi = sc.y.lo-pad, sc.y.hi+pad
	for _, sex := range sexes {
		sc.key = append(sc.key, keyItem{sexStyle(sex), sexName(sex)})
	}
	sc.under = []layer{func(a area) {
		for i, z := range rows {
			s := sexStyle(z.Sex)
			x := a.atX(at[i])
			a.line(stroke{ink: s.ink, width: 1}, x, a.atY(z.Low), x, a.atY(z.High))
			s.shape.paint(a.canvas, s.ink, []point{{x, a.atY(z.Mean)}}, markSize)
		}
	}}
	sc.look = "The mean of each season with its confidence interval of " + v.Percent + "."
	sc.desc = fmt.Sprintf("Means of %s by season and sex with intervals; the data are below.", m.Label)
	return sc, true
}

// namedTicks marks an axis at 0, 1, 2 and so on by names, some of them where
// there are many.
func namedTicks(names []string) ticker {
	step := (len(names) + 5) / 6
	var out []tick
	for i := 0; i < len(names); i += step {
		out = append(out, tick{float64(i), names[i]})
	}
	return func(lo, hi float64) []tick { return out }
}
