package screen

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// penguins reads the open penguin data (../shared/opendata) into captures.
func penguins(t testing.TB) []*record.Capture {
	t.Helper()
	in, err := os.Open(need.Shared(t, "opendata/penguins_raw.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	rows, err := csv.NewReader(in).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]string{"Culmen Length (mm)": "culmenLength", "Culmen Depth (mm)": "culmenDepth",
		"Flipper Length (mm)": "flipperLength", "Body Mass (g)": bodyMass}
	var captures []*record.Capture
	for i, row := range rows[1:] {
		c := &record.Capture{Key: row[0] + " " + row[1], File: "penguins_raw.csv", Row: i + 2}
		for k, heading := range rows[0] {
			text := row[k]
			if text == "NA" {
				text = ""
			}
			switch name := names[heading]; {
			case name != "" && text != "":
				unit := "mm"
				if name == bodyMass {
					unit = "g"
				}
				addReading(c, name, text, unit, k+1)
			case heading == "Species":
				c.Set(record.Value{Field: record.Of("scientificName"), Text: text})
			case heading == "Sex":
				c.Set(record.Value{Field: record.Of("sex"), Text: strings.ToLower(text)})
			}
		}
		captures = append(captures, c)
	}
	return captures
}

func TestPenguins(t *testing.T) {
	captures := penguins(t)
	if len(captures) != 344 {
		t.Fatalf("%d captures", len(captures))
	}
	warned, extreme := 0, 0
	for _, f := range Screen(captures, nil, Defaults()) {
		t.Logf("%s %s %s %s %s → %s: %s", f.Level, f.Rule, f.At, f.Field, f.Value, f.Suggestion, f.Reason)
		switch {
		case f.Level >= record.Warning:
			warned++
		case f.Rule == "value-extreme":
			extreme++ // real birds at the ends of their groups
		}
	}
	if warned != 0 || extreme > 4 {
		t.Errorf("%d warnings, %d extreme values", warned, extreme)
	}
}
