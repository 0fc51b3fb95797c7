package draft

import "testing"

// TestDayIn has names of tabs and files and lines above tables: common practice.
func TestDayIn(t *testing.T) {
	for _, c := range []struct {
		text, day string
		several   bool
	}{
		{"14 May 2023", "2023-05-14", false},
		{"2023-05-14 pond B", "2023-05-14", false},
		{"patrol 2 April 2022", "2022-04-02", false},
		{"Lizard walk 5 Aug 2010, Sandy Ridge, obs. J. Fenn", "2010-08-05", false},
		{"night_20190503", "2019-05-03", false},
		{"Gill net, Lake Orrin, 25.8.2009", "2009-08-25", false},
		{"Gill net, Lake Orrin, 12.8.2009", "", true}, // August or December
		{"3 May 2021 and 4 May 2021", "", true},
		{"14-15 May 2023", "", true},
		{"May 2023", "", false},
		{"5-14-23", "", false},
		{"Pond 12", "", false},
		{"2011", "", false},
	} {
		if day, several := dayIn(c.text, false); day != c.day || several != c.several {
			t.Errorf("%q: %q, %v; want %q, %v", c.text, day, several, c.day, c.several)
		}
	}
	if day, several := dayIn("Molchfang Teich Süd, 12.04.2022", true); day != "2022-04-12" || several {
		t.Errorf("in German: %q, %v", day, several)
	}
}
