package pipeline

// InParts walks a survey of more than so many rows in parts of so many captures.
func InParts(rows, captures int) Options { return Options{wholeRows: rows, partRows: captures} }

// ToldFrom walks as InParts does, and tells layouts from the first rows alone that
// a survey of one part may have.
func ToldFrom(rows, captures int) Options {
	return Options{wholeRows: rows, partRows: captures, windowRows: rows}
}
