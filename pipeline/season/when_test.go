package season

import "testing"

func TestNumberOfADay(t *testing.T) {
	for date, want := range map[string]value{
		"2024-02-29": 20240229, "2024-12-31": 20241231, "0000-01-01": 101,
		"2023-02-29": 0, "2024-04-31": 0, "2024-13-01": 0, "2024-00-10": 0, "2024-01-00": 0,
		"": 0, "2024": 0, "2024-05": 0, "2024-5-01": 0, "2024010101": 0, "2024-0101-": 0, "2024/05/01": 0, "2024-05-01/03": 0, "2O24-05-01": 0,
	} {
		if got := numberOf(date); got != want {
			t.Errorf("%q: got %d, want %d", date, got, want)
		}
	}
}
