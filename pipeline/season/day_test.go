package season

import (
	"testing"
	"time"
)

// A date is a single day where package time reads it as one.
func TestNumberOfADay(t *testing.T) {
	dates := []string{"", "2024", "2024-05", "2024-05-01", "2024-02-29", "2023-02-29", "1900-02-29", "2000-02-29", "2024-13-01", "2024-00-10", "2024-04-31", "2024-04-00",
		"2024-05-01/02", "-210-05-11", "2-10-05-11", "2024/05/01", "2024-5-011", "2024-05-1x", "９２４-05"}
	for day := time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() < 2025; day = day.AddDate(0, 0, 1) {
		dates = append(dates, day.Format(time.DateOnly))
	}
	for _, text := range dates {
		_, err := time.Parse(time.DateOnly, text)
		number := numberOf(text)
		if single := err == nil; single != (number > 0) || single && date(number) != text {
			t.Errorf("%q: %d", text, number)
		}
	}
}
