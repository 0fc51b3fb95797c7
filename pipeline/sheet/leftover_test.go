package sheet

import "testing"

func TestLeftover(t *testing.T) {
	for _, c := range []struct {
		file string
		left bool
	}{
		{"~$june.xlsx", true},
		{"old years/~$Frösche 2023.xlsx", true},
		{`C:\field\~$june.xlsx`, true},
		{`\\server\field sheets\.~lock.june.ods#`, true},
		{".~lock.june 2024.csv#", true},
		{"._june.csv", true},
		{".DS_Store", true},
		{"photos/Thumbs.db", true},
		{`photos\THUMBS.DB`, true},
		{"desktop.ini", true},
		{"june.xlsx", false},
		{"~june.xlsx", false},
		{"june~$.xlsx", false},
		{".~lock.june.csv", false},
		{"~$old/june.xlsx", false},
		{`~$old\june.xlsx`, false},
		{"Thumbs.db.csv", false},
		{"", false},
	} {
		if got := Leftover(c.file); (got != "") != c.left {
			t.Errorf("%q is taken for %q", c.file, got)
		}
	}
}
