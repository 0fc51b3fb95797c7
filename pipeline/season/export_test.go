package season

import "spadefoot/pipeline/record"

// HoldAtMost bounds what tallies hold, until the function that it gives is
// called.
func HoldAtMost(n int) (restore func()) {
	was := maxHeld
	maxHeld = n
	return func() { maxHeld = was }
}

func EffortOf(c *record.Capture) (float64, string, bool) {
	g := Begin("", Settings{})
	t := g.statedBy(c)
	e, ok := effortOf(&t)
	return e.amount, e.unit, ok
}
