package pipeline

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

// mappingSteps describes, for the methods of the data set, how the columns of
// the sheets were read: one step for each mapping that was really used, with
// the headings that were really there.
func (w *walk) mappingSteps() []darwincore.Step {
	type use struct {
		m       *mapping.Mapping
		sheets  []string
		columns []string
	}
	var uses []*use
	for _, t := range w.laid {
		m := w.survey.Sheets[t.ref].Map
		i := slices.IndexFunc(uses, func(u *use) bool { return u.m == m })
		if i < 0 {
			i = len(uses)
			uses = append(uses, &use{m: m})
		}
		u := uses[i]
		u.sheets = appendNew(u.sheets, record.Address{File: t.table.File, Sheet: t.table.Sheet}.String())
		for _, c := range t.table.Columns {
			if p := w.columnPhrase(c, w.survey.Sheets[t.ref].Weighing.Way); p != "" {
				u.columns = appendNew(u.columns, p)
			}
		}
	}
	var out []darwincore.Step
	for _, u := range uses {
		if len(u.columns) == 0 {
			continue
		}
		name := ""
		if u.m.Name != "" {
			name = fmt.Sprintf(", by the mapping “%s”", u.m.Name)
		}
		out = append(out, darwincore.Step{Text: fmt.Sprintf("Field sheets were read by their headings (%s)%s: %s.",
			strings.Join(u.sheets, "; "), name, strings.Join(u.columns, "; "))})
	}
	for _, m := range w.survey.Measures().Own() {
		out = append(out, darwincore.Step{Text: fmt.Sprintf("The measurement “%s”, in %s: %s", m.Label, m.Unit, m.Definition)})
	}
	if known := w.repeatSources(); len(known) > 0 {
		out = append(out, darwincore.Step{Text: "Repeatability, as the standard deviation of one person's repeats on one animal, was taken as " + strings.Join(known, "; ") + "."})
	}
	return out
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// columnPhrase says what a column was read as; "" for one that nobody mapped.
func (w *walk) columnPhrase(c record.Column, way record.WeighWay) string {
	m := c.Meaning
	what := ""
	switch m.Role {
	case record.Term:
		what = m.Term
	case record.Measurement:
		what = m.Measurement
		if l := w.label(m.Measurement); l != "" {
			what = l
		}
	case record.WeighPart:
		what = "weighing, " + m.Part
		if m.Part == record.Net && (way == "" || way == record.AsWritten) {
			what = "mass of the animal"
		}
	case record.NameColumn, record.ValueColumn, record.UnitColumn:
		what = meaningWords(m)
	case record.SetAside:
		return fmt.Sprintf("“%s” left out (%s)", c.Heading, m.Reason)
	}
	if what == "" {
		return ""
	}
	if m.Unit != "" {
		what += " in " + m.Unit
		if m.Guessed {
			what += " (guessed)"
		}
	}
	if m.Instrument != "" {
		what += " with the " + m.Instrument
	}
	return fmt.Sprintf("“%s” as %s", c.Heading, what)
}
