package observers

import (
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// Result is what repeated readings tell, in the order of names.
type Result struct {
	Measurements []Measurement
	Observers    []Observer
	Findings     []record.Finding
}

// Measurement is how observers agree on one measurement. Where a Missing says
// why there is nothing, the figures beside it are empty.
type Measurement struct {
	Name, Unit  string
	Observers   []string
	Individuals int
	// Between is the error between observers, from the first reading of each
	// of every individual that two or more have read.
	Between        statistics.TechnicalError
	BetweenMissing string
	// Forms are the intraclass correlations of the first readings of
	// FormsObservers on the individuals that all of them have read.
	Forms            []statistics.Intraclass
	FormsObservers   []string
	FormsIndividuals int
	FormsMissing     string
}

// Observer is one person on all measurements.
type Observer struct {
	Name     string
	Scores   []Score
	Passed   bool     // every score with a verdict is a pass, and there is one
	Practise []string // what to practise next, most needed first
}

// Score is one person on one measurement.
type Score struct {
	Measurement, Unit     string
	Individuals, Readings int
	// Within is the error of this observer's repeats.
	Within        statistics.TechnicalError
	WithinMissing string
	// Forms are the intraclass correlations of the repeats, taken as columns;
	// 1,1 is the one to read, since repeats have no order.
	Forms        []statistics.Intraclass
	FormsMissing string
	// Bias is this observer less the Reference: "known sizes", "readings by"
	// the instructor, or both joined by "and". Pairs are the points behind it.
	Reference    string
	Bias         statistics.Limits
	RelativeBias statistics.Bounded // % of the mean of the reference
	BiasMissing  string
	Pairs        []Pair
	Criteria     []Criterion
	Verdict      Verdict
	Next         string // what to do next; "" after a sure pass
}

// Pair is one individual as the observer and as the reference have it.
type Pair struct {
	Individual string
	Observed   float64 // mean of the observer's readings
	Reference  float64
}

// Verdict says whether an observer reached the line.
type Verdict string

// The verdicts.
const (
	Pass      Verdict = "pass"
	Fail      Verdict = "fail"
	NotSure   Verdict = "not sure" // the interval of a figure has the line within it
	NotEnough Verdict = "not enough readings"
)

// The criteria of a line.
const (
	Repeats     = "error of repeats"
	BiasOf      = "bias"
	Reliability = "reliability"
)

// Criterion is one figure against its line.
type Criterion struct {
	Name      string
	Value     float64 // %, for reliability 0 to 1
	Low, High float64
	Line      float64
	Pass      bool
	Sure      bool    // the whole interval lies on one side of the line
	More      int     // where not sure: about how many more individuals would settle it, the figure staying as it is
	Excess    float64 // how many times the line; for reliability of what is left to 1
}
