package draft

import (
	"path"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// day returns the day of a sheet in which no column and no line tells one, and
// where it stands: in the name of the tab, in a title above the table, in the
// name of the file. "" where none is written in full, more than one is, or the
// text speaks of something else than the captures.
func (r *entry) day() (day, where string) {
	if len(r.texts["eventDate"])+len(r.texts["year"]) > 0 {
		return "", ""
	}
	var above []string
	for _, t := range r.tables {
		above = append(above, titles(t)...)
		for _, row := range t.Rows {
			for _, l := range row.Labels { // that hold for some rows only
				if text := l.Cell.Text; !slices.Contains(above, text) {
					above = append(above, text)
				}
			}
		}
	}
	for _, place := range []struct {
		where string
		texts []string
	}{
		{"the name of the tab", []string{r.sheet.Name}}, {"a line above the table", above},
		{"the name of the file", []string{strings.TrimSuffix(r.sheet.File, path.Ext(r.sheet.File))}},
	} {
		for _, text := range place.texts {
			found, several := dayIn(text, mapping.DayFirst(r.form.language()))
			if several || found != "" && day != "" && found != day {
				return "", ""
			}
			if found != "" && !mapping.OfSomethingElse(text) {
				day = found
			}
		}
		if day != "" {
			return day, place.where
		}
	}
	return "", ""
}

// titles are the lines above a table that have no name.
func titles(t record.Table) (texts []string) {
	for _, l := range t.Labels {
		if l.Name == "" || strings.HasPrefix(l.Name, mapping.Title) {
			texts = append(texts, l.Cell.Text)
		}
	}
	return texts
}

// packedDay is a day of which nothing parts the year and the month.
var packedDay = pattern.Of(`^(19|20)\d{6}$`)

// dayIn finds a day that is written in full, with a year of four digits and in
// an order that reads one way only, among the words of a text. In some languages the
// day comes first in any case.
func dayIn(text string, dayFirst bool) (day string, several bool) {
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" _,;:()[]", r) })
	taken := -1
	for n := 3; n > 0; n-- {
		for i := 0; i+n <= len(words); i++ {
			span := strings.Join(words[i:i+n], " ")
			if i+n <= taken || !yearWritten().MatchString(span) && !packedDay().MatchString(span) {
				continue
			}
			a, b := calendar.Parse(span, calendar.Options{Order: calendar.DMY}), calendar.Parse(span, calendar.Options{Order: calendar.MDY})
			if a.Precision < calendar.ToDay || a.Remark != "" || a.Doubtful {
				continue
			}
			if !dayFirst && a.ISO != b.ISO || len(a.ISO) != len("2006-01-02") || day != "" && day != a.ISO {
				return "", true
			}
			day, taken = a.ISO, i+n
		}
	}
	return day, false
}
