package screen

import (
	"errors"
	"strings"
	"testing"

	"spadefoot/pipeline/record/lines"
)

const limitsHead = "scientificName,measurement,unit,minimum,maximum,sex,lifeStage,source,level\n"

func TestReadLimits(t *testing.T) {
	in := "# limits of the station, invented\n" + limitsHead +
		"Lithobates pipiens,snoutVentLength,mm,20,110,,,station book,error\n" +
		"Lithobates pipiens, bodyMass ,g,,90,,adult\n"
	limits, err := ReadLimits(strings.NewReader(in), "limits.csv")
	if err != nil {
		t.Fatal(err)
	}
	if len(limits) != 2 || *limits[0].Minimum != 20 || limits[0].Level != "error" ||
		limits[1].Minimum != nil || *limits[1].Maximum != 90 || limits[1].Measurement != "bodyMass" || limits[1].LifeStage != "adult" {
		t.Errorf("got %+v", limits)
	}
}

func TestReadLimitsSaysWhere(t *testing.T) {
	for _, c := range []struct {
		name, in string
		line     int
		column   string
	}{
		{"no heading", "scientificName,measurement,minimum,maximum\n", 1, "unit"},
		{"not a number", limitsHead + "A,svl,mm,1,2,,,,\nA,svl,mm,many,9,,,,\n", 3, "minimum"},
		{"infinite", limitsHead + "A,svl,mm,1,Inf,,,,\n", 2, "maximum"},
		{"no taxon", limitsHead + ",svl,mm,1,9,,,,\n", 2, "scientificName"},
		{"no unit", limitsHead + "A,svl,,1,9,,,,\n", 2, "unit"},
		{"upside down", limitsHead + "A,svl,mm,10,9,,,,\n", 2, "minimum"},
		{"both open", limitsHead + "A,svl,mm,,,,,,\n", 2, "minimum"},
		{"level", limitsHead + "A,svl,mm,1,9,,,,bad\n", 2, "level"},
		{"too many cells", limitsHead + "A,svl,mm,1,9,,,,,x\n", 2, ""},
		{"unknown heading", "scientificName,measurement,unit,minimum,maximum,lifestage\nA,svl,mm,1,9,adult\n", 1, "lifestage"},
		{"stray quote", limitsHead + "\"A,svl,mm,1,9,,,,\n", 2, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadLimits(strings.NewReader(c.in), "limits.csv")
			var e *lines.Error
			if !errors.As(err, &e) {
				t.Fatalf("got %v", err)
			}
			if e.Line < c.line || e.Column != c.column || !strings.Contains(e.Error(), "limits.csv, line") {
				t.Errorf("got line %d, column %q: %v", e.Line, e.Column, e)
			}
		})
	}
}

func FuzzReadLimits(f *testing.F) {
	f.Add(limitsHead + "Lithobates pipiens,snoutVentLength,mm,20,110,,,station book,error\n")
	f.Add("# comment\n\ufeff" + limitsHead)
	f.Add("")
	f.Fuzz(func(t *testing.T, in string) {
		limits, err := ReadLimits(strings.NewReader(in), "limits.csv")
		if err != nil && limits != nil {
			t.Error("limits beside an error")
		}
		for _, l := range limits {
			if l.Minimum != nil && l.Maximum != nil && *l.Minimum > *l.Maximum {
				t.Errorf("upside down: %+v", l)
			}
		}
	})
}
