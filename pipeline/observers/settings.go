package observers

// Settings say who and what the observers are judged by.
type Settings struct {
	// Instructor is the observer whose readings are the reference where no
	// size is known. Empty: only known sizes are a reference.
	Instructor string `mapstructure:"instructor"`
	// Level is the confidence level of all intervals.
	Level float64 `mapstructure:"level"`
	// Least is how many individuals a verdict needs.
	Least int `mapstructure:"least"`
	// AcrossDays compares readings of a live animal from different days.
	AcrossDays bool `mapstructure:"acrossDays"`
	// Lines are the pass lines. The one without a measurement holds for all
	// that have none of their own.
	Lines []Line `mapstructure:"lines"`
}

// Line is what an observer must reach. A figure of 0 is not asked for.
type Line struct {
	Measurement string  `mapstructure:"measurement"`
	RelativeTEM float64 `mapstructure:"relativeTEM"` // at most, % of the mean
	Bias        float64 `mapstructure:"bias"`        // at most, % of the mean of the reference, either way
	Reliability float64 `mapstructure:"reliability"` // at least, 0 to 1
}

// Defaults returns lines that are common practice in body measurement (from
// memory): repeats within 2 %, bias within 2 %, reliability from 0.95 on.
func Defaults() Settings {
	return Settings{Level: 0.95, Least: 5, Lines: []Line{{RelativeTEM: 2, Bias: 2, Reliability: 0.95}}}
}

// LineFor returns the line that holds for a measurement.
func (s *Settings) LineFor(measurement string) Line {
	var general Line
	for _, l := range s.Lines {
		switch l.Measurement {
		case measurement:
			return l
		case "":
			general = l
		}
	}
	return general
}
