package pipeline

// InParts walks a survey of more than so many rows in parts of so many captures.
func InParts(rows, captures int) Options { return Options{wholeRows: rows, partRows: captures} }
