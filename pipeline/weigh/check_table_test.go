package weigh

import "testing"

// Tables of checks are told by their headings, and tables of captures are not taken
// for them.
func TestHeadsChecks(t *testing.T) {
	for _, c := range []struct {
		headings []string
		is       bool
	}{
		{[]string{"Date", "Check weight (g)", "Reading (g)"}, true},
		{[]string{"Scale", "Date", "Weight", "Reads", "Remarks"}, true},
		{[]string{"Date", "Zero reading"}, true},
		{[]string{"Poids étalon", "Lecture"}, true},
		{[]string{"Date", "Weight"}, false},
		{[]string{"No", "Species", "Weight", "Reading"}, false},
		{[]string{"Date", "Species", "Gross", "Bag"}, false},
		{[]string{"Reading"}, false},
		{nil, false},
	} {
		if _, is := headsChecks(c.headings); is != c.is {
			t.Errorf("%q: %v, want %v", c.headings, is, c.is)
		}
	}
}

func FuzzCheckColumns(f *testing.F) {
	for _, s := range []string{"50 g", "0", "52,5", "-", "1e9 kg", "scale 100", "ounce"} {
		f.Add(s, s, s)
	}
	scales := []Instrument{{Name: "scale 100", Unit: "g", Graduation: 0.5, Capacity: 100}}
	c, _ := headsChecks([]string{"Scale", "Load (kg)", "Reading", "Zero"})
	f.Fuzz(func(t *testing.T, load, reading, zero string) {
		headsChecks([]string{load, reading, zero})
		checks, why := c.Read([]string{"", load, reading, zero}, scales)
		for _, k := range checks {
			if why != "" || k.Load < 0 || k.Scale != "scale 100" {
				t.Errorf("%q %q %q: %+v %s", load, reading, zero, k, why)
			}
		}
	})
}
