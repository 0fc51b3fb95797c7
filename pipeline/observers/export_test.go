package observers

import "spadefoot/pipeline/record"

// Compare compares the observers of captures that come one by one.
func Compare(captures []*record.Capture, known []Known, s Settings) (Result, error) {
	g, err := Begin(known, s)
	if err != nil {
		return Result{}, err
	}
	for i := range captures {
		g.Add(captures[i : i+1])
	}
	return g.Result(), nil
}
