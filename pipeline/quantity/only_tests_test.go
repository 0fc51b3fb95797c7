package quantity

// What only tests call.

// Merge adds the counts of another part of the column.
func (e *Evidence) Merge(o Evidence) {
	e.Point += o.Point
	e.Comma += o.Comma
	e.PointOrGroup += o.PointOrGroup
	e.CommaOrGroup += o.CommaOrGroup
	e.PointsAreGroup += o.PointsAreGroup
	e.CommasAreGroup += o.CommasAreGroup
	e.Finest = max(e.Finest, o.Finest)
	for i, n := range o.behind {
		e.behind[i] += n
	}
}
