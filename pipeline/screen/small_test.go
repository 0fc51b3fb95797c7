package screen

import (
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// rareFrogs makes a few captures of a taxon that the survey has no more of.
func rareFrogs(svls, tibias []string) []*record.Capture {
	var all []*record.Capture
	for i := range svls {
		c := frog(900+i, svls[i], tibias[i], "", "", "")
		c.Set(record.Value{Field: record.Of("scientificName"), Text: "Spea bombifrons"})
		all = append(all, c)
	}
	return all
}

func TestRareTaxaAreComparedWithAll(t *testing.T) {
	all := append(simulate(200, 3), rareFrogs([]string{"48.1", "51.3"}, []string{"17.9", "1.88"})...)
	fs := of(Screen(all, nil, Defaults()), "value-far", "value-off-line", "shape-unusual", "animal-unusual")
	if len(fs) != 1 || fs[0].At.Row != 901 || !strings.Contains(fs[0].Reason, "18.8 mm would fit") || fs[0].Level != record.Warning || !strings.Contains(fs[0].Group, "all taxa") {
		t.Errorf("got %+v", fs)
	}
}

// Far from any frog in shape, but nothing that a gross slip explains.
func TestRareTaxaOfOtherShapeAreLeftAlone(t *testing.T) {
	all := append(simulate(200, 3), rareFrogs([]string{"48.1", "51.3"}, []string{"9.0", "9.4"})...)
	for _, f := range Screen(all, nil, Defaults()) {
		if f.At.Row >= 900 && f.Level > record.Note {
			t.Errorf("got %+v", f)
		}
	}
}

func TestSmallGroupsAreTestedByESD(t *testing.T) {
	var few []*record.Capture
	for i, svl := range []string{"48.1", "51.3", "46.9", "49.7", "504", "50.2"} {
		c := frog(2+i, svl, "", "", "", "")
		few = append(few, c)
	}
	fs := of(Screen(few, nil, Defaults()), "value-far")
	if len(fs) != 1 || fs[0].At.Row != 6 || fs[0].Suggestion != "50.4 mm" || fs[0].Reference != paperESD {
		t.Errorf("got %+v", fs)
	}
}

func TestTooFewSaysSo(t *testing.T) {
	few := rareFrogs([]string{"48.1", "51.3"}, []string{"17.9", "18.8"})
	fs := Screen(few, nil, Defaults())
	if len(fs) != 1 || fs[0].Rule != "group-too-small" || fs[0].Level != record.Note {
		t.Errorf("got %+v", fs)
	}
	high := 70.0
	fs = Screen(few, []Limit{{ScientificName: "Spea bombifrons", Measurement: bodyLength, Unit: "mm", Maximum: &high}}, Defaults())
	if len(fs) != 0 {
		t.Errorf("with limits: %+v", fs)
	}
}

// Heaped readings: more than half of a group the same, so that its MAD is 0.
func TestHeapedReadings(t *testing.T) {
	var all []*record.Capture
	for i := range 40 {
		svl := "70"
		if i%5 == 0 {
			svl = fmt.Sprint(68 + i%3*2)
		}
		all = append(all, frog(2+i, svl, "", "", "", ""))
	}
	if fs := Screen(all, nil, Defaults()); count(fs, record.Warning) > 0 {
		t.Errorf("clean heaps: %+v", fs)
	}
	all[7] = frog(9, "7", "", "", "", "")
	fs := of(Screen(all, nil, Defaults()), "value-far", "shape-unusual")
	if len(fs) != 1 || fs[0].Suggestion != "70 mm" {
		t.Errorf("got %+v", fs)
	}
}
