package report

import (
	"bytes"
	"fmt"
	"html/template"
	"maps"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/season"
	"spadefoot/schemas"
)

// seasonView is what the section on the season reads.
type seasonView struct {
	*season.Results
	Percent  string // of the intervals
	Measures []seasonMeasure
	Pictures []plot.Picture // of sizes
	Growth   []plot.Picture
	PerNight []plot.Picture
	Effort   bool // some night states one
	Left     int  // captures that were left out
	Omitted  []season.LeftOut
	Files    string
	measure  func(string) Measure
}

// seasonMeasure is one measurement with its rows.
type seasonMeasure struct {
	Name, Label, Unit string
	Sizes             []season.Size
	SiteSizes         []season.Size
	Changes           []season.Change
}

var seasonTemplate = template.Must(template.New("season").Funcs(template.FuncMap{
	"one": record.Plural,
}).Parse(pageFiles.Text("season.html")))

// alike gives a figure as many decimals as the other has, where its four digits
// allow that: 0.544 beside 0.4614 is 0.5440.
func alike(figure, other string) string {
	whole, decimals, _ := strings.Cut(figure, ".")
	_, more, _ := strings.Cut(other, ".")
	lacks := len(more) - len(decimals)
	if lacks <= 0 || len(strings.TrimLeft(whole+more, "-0")) > 4 {
		return figure
	}
	return whole + "." + decimals + strings.Repeat("0", lacks)
}

// SeasonHTML is what the captures say, as the body of a section: tables and
// pictures in the classes of the report's style sheet. Files is the folder with
// the tables as CSV; where it is empty, sizes by site are shown too.
func SeasonHTML(r *season.Results, measure func(string) Measure, order Order, files string) (template.HTML, error) {
	v := &seasonView{Results: r, Percent: strconv.FormatFloat(100*r.Settings.Confidence, 'g', 4, 64) + " %", Files: files, measure: measure}
	v.measures(order)
	for _, l := range r.LeftOut {
		if l.What == "capture" {
			v.Left += l.N
		}
		if _, measured := r.Units[l.What]; measured {
			l.What = Described(measure, l.What).Label
		}
		if rule, known := schemas.RuleOf()[l.Why]; known {
			l.Why = rule.Summary
		}
		v.Omitted = append(v.Omitted, season.LeftOut{What: record.Capital(l.What), Why: record.Capital(l.Why), N: l.N})
	}
	v.Effort = slices.ContainsFunc(r.Catches, func(c season.Catch) bool { return c.EffortNights > 0 })
	v.draw()
	var b bytes.Buffer
	if err := seasonTemplate.Execute(&b, v); err != nil {
		return "", fmt.Errorf("the season cannot be written: %w", err)
	}
	return template.HTML(b.String()), nil
}

// measures puts the rows of each measurement together, in the order of the
// outputs.
func (v *seasonView) measures(order Order) {
	at := map[string]int{}
	for _, name := range order(slices.Collect(maps.Keys(v.Units))) {
		d := Described(v.measure, name)
		at[name] = len(v.Measures)
		v.Measures = append(v.Measures, seasonMeasure{Name: name, Label: record.Capital(d.Label), Unit: InUnit(v.Units[name])})
	}
	for _, z := range v.Results.Sizes {
		m := &v.Measures[at[z.Measurement]]
		m.Sizes = append(m.Sizes, z)
	}
	for _, z := range v.Results.SiteSizes {
		m := &v.Measures[at[z.Measurement]]
		m.SiteSizes = append(m.SiteSizes, z)
	}
	for _, c := range v.Results.Changes {
		m := &v.Measures[at[c.Measurement]]
		m.Changes = append(m.Changes, c)
	}
}
