package calendar

import "testing"

func TestPackedDates(t *testing.T) {
	for _, c := range []struct {
		name  string
		texts []string
		order Order
		iso   string // of the first
	}{
		{"year first", []string{"190503", "190517", "190601", "200412"}, YMD, "2019-05-03"},
		{"day first", []string{"030519", "170519", "010619", "120420"}, DMY, "2019-05-03"},
		{"month first", []string{"050319", "051719", "060119"}, MDY, "2019-05-03"},
		{"days and months that read both ways", []string{"030519", "040519", "010619"}, Unknown, ""},
		{"days and years that read both ways", []string{"190519", "190520", "200519"}, Unknown, ""},
		{"years and months", []string{"201905", "201906", "202007"}, Unknown, ""},
		{"eight digits, year first", []string{"20190503", "20190517"}, YMD, "2019-05-03"},
		{"eight digits, day first", []string{"03052019", "17052019"}, DMY, "2019-05-03"},
		{"eight digits, month first", []string{"05032019", "05172019"}, MDY, "2019-05-03"},
		{"eight digits that read both ways", []string{"03052019", "04052019"}, Unknown, "2019"},
		{"the zero of the day was dropped", []string{"3052019", "17052019"}, DMY, "2019-05-03"},
		{"no day of eight digits", []string{"33052019", "17192019"}, Unknown, ""},
		{"numbers of something", []string{"104417", "104493", "110388"}, Unknown, ""},
	} {
		var e Evidence
		for _, text := range c.texts {
			e.Add(text)
		}
		order, _ := e.Decide(Unknown)
		if got := Parse(c.texts[0], Options{Order: order, SixDigits: e.SixDigits(), Latest: Day{2026, 11, 30}}); order != c.order || got.ISO != c.iso {
			t.Errorf("%s: %s, %q", c.name, order, got.ISO)
		}
	}
}
