package report

// shape is the form of a mark. Forms tell apart what colours tell apart too.
type shape uint8

const (
	disc shape = iota
	triangle
	cross
	square
	diamond
	plus
	ring
	bar
)

const markSize = 2.6

// paint draws one form at many points as a single path.
func (s shape) paint(c *canvas, i ink, at []point, r float64) {
	if len(at) == 0 {
		return
	}
	path := c.path()
	for _, p := range at {
		s.trace(path, p, r)
	}
	switch s {
	case disc:
		c.stroke(path, stroke{ink: i, width: 1.7 * r})
	case square:
		c.fill(path, i)
	default:
		c.stroke(path, stroke{ink: i, width: 1.1})
	}
}

// polygons and strokes are the forms of straight lines, of marks of size 1.
var (
	polygons = map[shape][]point{
		triangle: {{0, 1.1}, {-1, -0.8}, {1, -0.8}},
		square:   {{-0.75, -0.75}, {0.75, -0.75}, {0.75, 0.75}, {-0.75, 0.75}},
		diamond:  {{0, 1.15}, {-1.15, 0}, {0, -1.15}, {1.15, 0}},
	}
	strokes = map[shape][][2]point{
		cross: {{{-0.8, -0.8}, {0.8, 0.8}}, {{-0.8, 0.8}, {0.8, -0.8}}},
		plus:  {{{-1.1, 0}, {1.1, 0}}, {{0, -1.1}, {0, 1.1}}},
		bar:   {{{0, -1}, {0, 1}}},
	}
)

func (s shape) trace(path *outline, p point, r float64) {
	at := func(from point) point { return point{p.x + from.x*r, p.y + from.y*r} }
	switch corners := polygons[s]; {
	case s == disc:
		path.dot(p)
	case s == ring:
		path.circle(p, r)
	case corners != nil:
		path.move(at(corners[0]))
		for _, c := range corners[1:] {
			path.line(at(c))
		}
		path.close()
	}
	for _, ends := range strokes[s] {
		path.through(at(ends[0]), at(ends[1]))
	}
}

// style is a form with its colour.
type style struct {
	shape shape
	ink   ink
}

// sexStyle tells sexes apart.
func sexStyle(sex string) style {
	switch sex {
	case "female":
		return style{disc, inkOne}
	case "male":
		return style{triangle, inkTwo}
	}
	return style{cross, inkQuiet}
}

// sexName is the word of a sex for the key.
func sexName(sex string) string {
	switch sex {
	case "female", "male":
		return sex
	}
	return "other or not known"
}

// series are the styles of up to eight taxa.
var series = [...]style{
	{disc, inkOne}, {triangle, inkTwo}, {diamond, inkThree}, {square, inkFour},
	{plus, inkFive}, {ring, inkSix}, {cross, inkOne}, {bar, inkTwo},
}
