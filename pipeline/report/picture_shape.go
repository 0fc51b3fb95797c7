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

func (s shape) trace(path *outline, p point, r float64) {
	to := func(pen func(point), dx, dy float64) { pen(point{p.x + dx*r, p.y + dy*r}) }
	switch s {
	case disc:
		path.dot(p)
	case triangle:
		to(path.move, 0, 1.1)
		to(path.line, -1, -0.8)
		to(path.line, 1, -0.8)
		path.close()
	case cross:
		to(path.move, -0.8, -0.8)
		to(path.line, 0.8, 0.8)
		to(path.move, -0.8, 0.8)
		to(path.line, 0.8, -0.8)
	case square:
		to(path.move, -0.75, -0.75)
		to(path.line, 0.75, -0.75)
		to(path.line, 0.75, 0.75)
		to(path.line, -0.75, 0.75)
		path.close()
	case diamond:
		to(path.move, 0, 1.15)
		to(path.line, -1.15, 0)
		to(path.line, 0, -1.15)
		to(path.line, 1.15, 0)
		path.close()
	case plus:
		to(path.move, -1.1, 0)
		to(path.line, 1.1, 0)
		to(path.move, 0, -1.1)
		to(path.line, 0, 1.1)
	case ring:
		path.circle(p, r)
	case bar:
		to(path.move, 0, -1)
		to(path.line, 0, 1)
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
var series = [maxTaxa]style{
	{disc, inkOne}, {triangle, inkTwo}, {diamond, inkThree}, {square, inkFour},
	{plus, inkFive}, {ring, inkSix}, {cross, inkOne}, {bar, inkTwo},
}
