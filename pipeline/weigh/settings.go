package weigh

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// Names of the readings that this stage adds or reads.
const (
	BodyMass  = "bodyMass"  // the animal alone
	GrossMass = "grossMass" // animal and bag
	BagMass   = "bagMass"   // the empty bag
)

// Instrument is a scale. Graduation, Capacity and Calibration are in Unit; zero
// means not known.
type Instrument struct {
	Name        string
	Kind        string
	Unit        string // UCUM code
	Graduation  float64
	Capacity    float64
	Calibration float64 // expanded uncertainty (k = 2)
}

// Settings are the thresholds and scales of a survey. The zero value of a
// threshold means its default.
type Settings struct {
	RelativeUncertainty float64        `mapstructure:"relativeUncertainty"` // expanded uncertainty of the net over the net; default 0.10
	LowFraction         float64        `mapstructure:"lowFraction"`         // a gross below this part of the capacity is read poorly; default 0.1
	TareCut             float64        `mapstructure:"tareCut"`             // modified z beyond which a tare is far from the others; default 3.5
	TareMinimum         int            `mapstructure:"tareMinimum"`         // tares that a session needs to be judged; default 5
	OffGraduation       float64        `mapstructure:"offGraduation"`       // tolerance of a reading on the graduation, in graduations; default 0.01
	Instruments         []Instrument   `mapstructure:"-"`
	Checks              []Check        `mapstructure:"-"` // of the scales
	Repeats             record.Repeats `mapstructure:"-"`

	// Confirmed reports whether a person said that a cell is right as written,
	// against one rule; nil for never.
	Confirmed func(rule string, at record.Address) bool `mapstructure:"-" json:"-"`

	net *netSeries
}

// Defaults returns the thresholds that hold where survey.yaml says nothing.
func Defaults() Settings { return Settings{}.withDefaults() }

func (s Settings) withDefaults() Settings {
	for _, d := range []struct {
		at    *float64
		value float64
	}{
		{&s.RelativeUncertainty, 0.10}, {&s.LowFraction, 0.1},
		{&s.TareCut, 3.5}, {&s.OffGraduation, 0.01},
	} {
		if *d.at == 0 {
			*d.at = d.value
		}
	}
	if s.TareMinimum == 0 {
		s.TareMinimum = 5
	}
	return s
}

// instrument finds a scale by name, without case and blanks; nil if there is
// none.
func (s *Settings) instrument(name string) *Instrument {
	if name == "" || len(s.Instruments) == 0 || strings.TrimSpace(name) == "" {
		return nil
	}
	for i := range s.Instruments {
		if sameLabel(s.Instruments[i].Name, name) {
			return &s.Instruments[i]
		}
	}
	return nil
}

// sameLabel reports whether labelKey gives the same for two names.
func sameLabel(a, b string) bool {
	if a == b {
		return true
	}
	for {
		a, b = strings.TrimLeftFunc(a, unicode.IsSpace), strings.TrimLeftFunc(b, unicode.IsSpace)
		if a == "" || b == "" {
			return a == b
		}
		r, n := utf8.DecodeRuneInString(a)
		q, m := utf8.DecodeRuneInString(b)
		if r != q && unicode.ToLower(r) != unicode.ToLower(q) {
			return false
		}
		a, b = a[n:], b[m:]
	}
}

// labelKey makes names comparable: lower case and no blanks, since "B 12",
// "b12" and "B12 " are one bag.
func labelKey(s string) string {
	return strings.ToLower(strings.Join(strings.Fields(s), ""))
}
