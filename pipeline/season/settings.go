package season

import (
	"fmt"
	"strconv"
)

// Settings are the choices of the results. They are keys under rules.season.
type Settings struct {
	Starts     int     `mapstructure:"starts"`     // month that a season begins with, 1 to 12
	Confidence float64 `mapstructure:"confidence"` // of the intervals

	Night bool `mapstructure:"-"` // a time before noon is of the night that began the day before
	Shown int  `mapstructure:"-"` // rows of each table, and of each measurement, that are kept for pages
}

// Defaults are the settings of a survey that says nothing.
func Defaults() Settings { return Settings{Starts: 1, Confidence: 0.95, Shown: 200} }

// Check says what is wrong with settings.
func (s Settings) Check() error {
	switch {
	case s.Starts < 1 || s.Starts > 12:
		return fmt.Errorf("starts is %d; give the month in which a season begins, 1 to 12", s.Starts)
	case !(s.Confidence > 0 && s.Confidence < 1):
		return fmt.Errorf("confidence is %g; give a number between 0 and 1, such as 0.95", s.Confidence)
	}
	return nil
}

// seasonOf names the season of a date as it is published: "2024", or "2024/25"
// where a season does not begin with the year. It is empty where the date does
// not tell.
func (s Settings) seasonOf(date string) string {
	first, last := ends(date)
	a := s.seasonAt(first)
	if last != first && s.seasonAt(last) != a {
		return ""
	}
	return a
}

// seasonAt names the season of a date that is not an interval.
func (s Settings) seasonAt(date string) string {
	if len(date) < 4 {
		return ""
	}
	year, err := strconv.Atoi(date[:4])
	if err != nil {
		return ""
	}
	if s.Starts == 1 {
		return date[:4]
	}
	if len(date) < 7 {
		return ""
	}
	month, err := strconv.Atoi(date[5:7])
	if err != nil {
		return ""
	}
	if month < s.Starts {
		year--
	}
	return fmt.Sprintf("%d/%02d", year, (year+1)%100)
}
