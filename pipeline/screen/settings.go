package screen

// Settings are the thresholds of screening. The names in the tags are those of
// the key rules in survey.yaml.
type Settings struct {
	// ModifiedZ is the modified z-score from which a value lies far from its
	// group (Iglewicz and Hoaglin 1993 recommend 3.5).
	ModifiedZ float64 `mapstructure:"modifiedZ"`
	// MinGroup is the number of captures from which a group is judged by
	// itself; smaller ones are pooled by taxon.
	MinGroup int `mapstructure:"minGroup"`
	// LineCut is the number of robust standard deviations from which a value
	// lies off the line on body length.
	LineCut float64 `mapstructure:"lineCut"`
	// SurveyQuantile is the chance that a clean survey has no capture beyond
	// the distance cut: the cut is the chi-square quantile at
	// SurveyQuantile^(1/captures).
	SurveyQuantile float64 `mapstructure:"surveyQuantile"`
	// CaptureRate is the share of clean captures that may be examined closely;
	// of those only the ones that an explanation fits better are reported.
	CaptureRate float64 `mapstructure:"captureRate"`
	// WarnBelow and ErrorBelow are the posterior probabilities of "nothing is
	// wrong" under which a finding is a warning, and an error.
	WarnBelow  float64 `mapstructure:"warnBelow"`
	ErrorBelow float64 `mapstructure:"errorBelow"`
	// SuggestAbove is the posterior probability from which a finding carries one
	// suggestion; below it the likeliest are listed as some of several.
	SuggestAbove float64 `mapstructure:"suggestAbove"`
	// MinScale is the least robust standard deviation of a log measurement:
	// what a careful hand repeats a caliper reading to (common practice: 1 %).
	MinScale float64 `mapstructure:"minScale"`
	// RepeatLength is the standard deviation of a repeated length, in mm, of a
	// live animal whatever its size (common practice: 0.1 mm, a mark of a dial
	// caliper).
	RepeatLength float64 `mapstructure:"repeatLength"`
	// MaxRows bounds the captures per taxon that lines and covariances are
	// fitted to; medians are always of all.
	MaxRows int `mapstructure:"mostRows"`
	// TailFreedom is the degrees of freedom of the t distribution that stands
	// for live animals: tails somewhat longer than the normal's.
	TailFreedom float64 `mapstructure:"tailFreedom"`
	// ReplicateCut is the number of robust standard deviations from which two
	// replicate readings of one measurement disagree.
	ReplicateCut float64 `mapstructure:"replicateCut"`
	// TEM is the relative technical error of measurement that recaptures are
	// judged by where the survey has no replicates (common practice:
	// 2 % for body lengths of live frogs).
	TEM float64 `mapstructure:"tem"`
	// BiasSpread is how far observers are expected to differ from each other
	// before any animal is seen, as a relative standard deviation (common
	// practice: 1.5 %).
	BiasSpread float64 `mapstructure:"biasSpread"`
	// GrowthPerDay is the largest relative growth of a length per day that is
	// believed where the limits give none (common practice: 1 %).
	GrowthPerDay float64 `mapstructure:"growthPerDay"`
	// MinDigits is the number of readings from which the last digits of one
	// observer are tested, HabitRate the chance of a false alarm of all tests
	// of habits of one kind in a survey.
	MinDigits int     `mapstructure:"minDigits"`
	HabitRate float64 `mapstructure:"habitRate"`
	// Odds are the prior probabilities of the slips.
	Odds Odds `mapstructure:"odds"`
}

// Odds are prior probabilities, per reading unless said otherwise. They are
// assumptions, chosen so that a field book of a few hundred readings holds a
// slip or two; the posterior depends on their ratios, and far more on the
// readings.
type Odds struct {
	FactorTen     float64 `mapstructure:"factorTen"`     // each way
	FactorHundred float64 `mapstructure:"factorHundred"` // each way
	Unit          float64 `mapstructure:"unit"`
	Transposed    float64 `mapstructure:"transposed"` // shared by all transpositions
	Misread       float64 `mapstructure:"misread"`    // shared by all misreadings
	OneOff        float64 `mapstructure:"oneOff"`     // shared by all digits that are one off
	Doubled       float64 `mapstructure:"doubled"`    // shared by all digits written twice
	Dropped       float64 `mapstructure:"dropped"`    // shared by all digits left out
	Copied        float64 `mapstructure:"copied"`     // from the row above, or from another column
	Tare          float64 `mapstructure:"tare"`
	GrossForTare  float64 `mapstructure:"grossForTare"`
	Columns       float64 `mapstructure:"columns"` // per capture, shared by all pairs of columns
	Unknown       float64 `mapstructure:"unknown"`
	WholeRow      float64 `mapstructure:"wholeRow"` // per capture
	Block         float64 `mapstructure:"block"`    // per sheet, session or observer and column: all cells by one slip
	Bags          float64 `mapstructure:"bags"`     // per session: some of its bags were left in
	Shift         float64 `mapstructure:"shift"`    // per column and row: values from here on stand a row too far up or down
	Size          float64 `mapstructure:"size"`     // per capture: larger or smaller than its group, well measured
	Tail          float64 `mapstructure:"tail"`     // per capture with a snout-vent length: it lost a part of its tail
}

// Defaults returns the thresholds that hold where survey.yaml says nothing.
func Defaults() Settings {
	return Settings{
		ModifiedZ:      3.5,
		MinGroup:       8,
		LineCut:        4,
		SurveyQuantile: 0.975,
		CaptureRate:    0.003,
		WarnBelow:      0.4,
		ErrorBelow:     0.01,
		SuggestAbove:   0.8,
		MinScale:       0.01,
		RepeatLength:   0.1,
		MaxRows:        2000,
		TailFreedom:    20,
		ReplicateCut:   4,
		TEM:            0.02,
		BiasSpread:     0.015,
		GrowthPerDay:   0.01,
		MinDigits:      50,
		HabitRate:      0.01,
		Odds: Odds{
			FactorTen:     0.001,
			FactorHundred: 0.0001,
			Unit:          0.0003,
			Transposed:    0.0005,
			Misread:       0.0005,
			OneOff:        0.0003,
			Doubled:       0.0005,
			Dropped:       0.0005,
			Copied:        0.0002,
			Tare:          0.0005,
			GrossForTare:  0.0005,
			Columns:       0.001,
			Unknown:       0.0005,
			WholeRow:      0.003,
			Size:          0.02,
			Tail:          0.05,
			Block:         0.0001,
			Bags:          0.05,
			Shift:         0.00001,
		},
	}
}
