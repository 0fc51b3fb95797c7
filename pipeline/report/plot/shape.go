package plot

// Shape is the form of a mark. Forms tell apart what colours tell apart too.
type Shape uint8

const (
	Disc Shape = iota
	triangle
	cross
	Square
	Diamond
	plus
	Ring
	bar
)

// MarkSize is the radius of a mark.
const MarkSize = 2.6

// Paint draws one form at many points as a single path.
func (s Shape) Paint(c *Canvas, i Ink, at []Point, r float64) {
	if len(at) == 0 {
		return
	}
	path := c.Path()
	for _, p := range at {
		s.trace(path, p, r)
	}
	switch s {
	case Disc:
		c.stroke(path, Stroke{Ink: i, Width: 1.7 * r})
	case Square:
		c.Fill(path, i)
	default:
		c.stroke(path, Stroke{Ink: i, Width: 1.1})
	}
}

// polygons and strokes are the forms of straight lines, of marks of size 1.
var (
	polygons = map[Shape][]Point{
		triangle: {{0, 1.1}, {-1, -0.8}, {1, -0.8}},
		Square:   {{-0.75, -0.75}, {0.75, -0.75}, {0.75, 0.75}, {-0.75, 0.75}},
		Diamond:  {{0, 1.15}, {-1.15, 0}, {0, -1.15}, {1.15, 0}},
	}
	strokes = map[Shape][][2]Point{
		cross: {{{-0.8, -0.8}, {0.8, 0.8}}, {{-0.8, 0.8}, {0.8, -0.8}}},
		plus:  {{{-1.1, 0}, {1.1, 0}}, {{0, -1.1}, {0, 1.1}}},
		bar:   {{{0, -1}, {0, 1}}},
	}
)

func (s Shape) trace(path *Outline, p Point, r float64) {
	at := func(from Point) Point { return Point{p.X + from.X*r, p.Y + from.Y*r} }
	switch corners := polygons[s]; {
	case s == Disc:
		path.dot(p)
	case s == Ring:
		path.circle(p, r)
	case corners != nil:
		path.move(at(corners[0]))
		for _, c := range corners[1:] {
			path.line(at(c))
		}
		path.Close()
	}
	for _, ends := range strokes[s] {
		path.Through(at(ends[0]), at(ends[1]))
	}
}

// Style is a form with its colour.
type Style struct {
	Shape Shape
	Ink   Ink
}

// SexStyle tells sexes apart.
func SexStyle(sex string) Style {
	switch sex {
	case "female":
		return Style{Disc, InkOne}
	case "male":
		return Style{triangle, InkTwo}
	}
	return Style{cross, InkQuiet}
}

// SexName is the word of a sex for the key.
func SexName(sex string) string {
	switch sex {
	case "female", "male":
		return sex
	}
	return "other or not known"
}

// Series are the styles of up to eight taxa.
var Series = [...]Style{
	{Disc, InkOne}, {triangle, InkTwo}, {Diamond, inkThree}, {Square, InkFour},
	{plus, inkFive}, {Ring, inkSix}, {cross, InkOne}, {bar, InkTwo},
}
