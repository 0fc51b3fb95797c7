package calendar

import (
	"io/fs"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // Go's own copy, where the system has none
)

// Go's time.LoadLocation is what every zone is held against. Editions of the
// database differ in what they say of earlier years and of those to come.
func TestZonesAsTheLibraryHasThem(t *testing.T) {
	all, err := zones()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	fs.WalkDir(all, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		want, err := time.LoadLocation(name)
		if err != nil {
			return nil // a name that this machine's edition does not have
		}
		n++
		zone, err := Zone(name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return nil
		}
		for year := 2000; year < 2020; year++ {
			for month := time.January; month <= time.December; month++ {
				at := time.Date(year, month, 15, 12, 0, 0, 0, time.UTC)
				_, got := at.In(zone).Zone()
				if _, offset := at.In(want).Zone(); got != offset {
					t.Errorf("%s on %s: %d s, want %d", name, at.Format(time.DateOnly), got, offset)
				}
			}
		}
		return nil
	})
	if n < 400 {
		t.Errorf("held %d zones against the library, want 400 or more", n)
	}
}

func TestNoSuchZone(t *testing.T) {
	for _, name := range []string{"", "Local", "Europe", "Europe/Berlim", "../Europe/Berlin", "/etc/localtime"} {
		if _, err := Zone(name); err == nil || !strings.Contains(err.Error(), "is not a time zone") {
			t.Errorf("%q: %v, want an error", name, err)
		}
	}
}
