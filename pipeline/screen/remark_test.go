package screen

import (
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// A remark that names the part makes a note of the alarm, and quotes it; others do
// not, nor does one that says the other side.
func TestRemarksExplainMeasurements(t *testing.T) {
	sum := Summarise(simulate(400, 9), Defaults())
	for _, c := range []struct {
		foot, mass, term, text string
		level                  record.Level
	}{
		{"18.0", "", "occurrenceRemarks", "", record.Warning},
		{"18.0", "", "occurrenceRemarks", "wet", record.Warning},
		{"18.0", "", "occurrenceRemarks", "left toes missing", record.Note},
		{"18.0", "", "organismRemarks", "Zehen fehlen", record.Note},
		{"18.0", "", "occurrenceRemarks", "toes not cut", record.Warning},
		{"18.0", "", "occurrenceRemarks", "tail cut", record.Warning},
		{"18.0", "", "occurrenceRemarks", "foot swollen", record.Warning},
		{"60.0", "", "occurrenceRemarks", "toe missing", record.Warning},
		{"", "66.0", "occurrenceRemarks", "gravid", record.Note},
		{"", "66.0", "reproductiveCondition", "gravid", record.Note},
		{"", "66.0", "occurrenceRemarks", "spent", record.Warning},
		{"", "380.0", "occurrenceRemarks", "gravid", record.Warning},
	} {
		x := frog(900, "70.0", "37.0", "34.0", "7.4", "6.0")
		if c.foot != "" {
			x.Readings = append(x.Readings, makeReading(x, "footLength", c.foot, "mm", 12))
		}
		if c.mass != "" {
			x.Readings = append(x.Readings, makeReading(x, bodyMass, c.mass, "g", 13))
		}
		if c.text != "" {
			x.Set(record.Value{Field: record.Of(c.term), Text: c.text, Verbatim: c.text})
		}
		fs := Judge(x, sum, nil, Defaults())
		if len(fs) != 1 || c.level == record.Note && fs[0].Level != record.Note || c.level == record.Warning && fs[0].Level < record.Warning {
			t.Errorf("%+v: %+v", c, fs)
			continue
		}
		if quoted := strings.Contains(fs[0].Reason, "“"+c.text+"” explains it"); quoted != (c.level == record.Note) || quoted && fs[0].Suggestion != "" {
			t.Errorf("%+v: %s", c, fs[0].Reason)
		}
	}
}

// A value outside the team's limits is as well explained; another fault of the
// animal is told all the same.
func TestRemarksExplainNoMore(t *testing.T) {
	sum := Summarise(simulate(400, 9), Defaults())
	x := frog(900, "70.0", "37.0", "34.0", "74", "6.0")
	x.Readings = append(x.Readings, makeReading(x, "footLength", "18.0", "mm", 12))
	x.Set(record.Value{Field: record.Of("occurrenceRemarks"), Text: "foot cut"})
	least := 25.0
	limits := []Limit{{ScientificName: x.Kind(), Measurement: "footLength", Minimum: &least, Unit: "mm"}}
	fs := Judge(x, sum, limits, Defaults())
	levels := map[string]record.Level{}
	for _, f := range fs {
		levels[f.Field] = f.Level
	}
	if len(fs) != 2 || levels["footLength"] != record.Note || !strings.Contains(fs[0].Reason, "outside the limits") || levels["eyeDiameter"] != record.Error {
		t.Errorf("%+v", fs)
	}
}
