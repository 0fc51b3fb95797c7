package draft

import (
	"slices"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record/pattern"
)

var yearWritten = pattern.Of(`(?:^|\D)((?:1[89]|20)\d\d)(?:\D|$)`)

// year returns the year of days that were written without one, and where it
// stands: in another day of the column, in the name of the tab, in a line above
// the table, in the name of the file. "" where the days have years, or where
// nothing says one and one only. If a line above the table gives another year than
// the name of its tab, which may be that of a copy, neither does.
func (r *entry) year() (year, where string) {
	days := r.texts["eventDate"]
	if len(r.texts["year"]) > 0 || !slices.ContainsFunc(days, func(text string) bool { return calendar.Yearless(text) || calendar.DayMonth(text) }) {
		return "", ""
	}
	above := r.labels()
	if tab, lines := yearsIn([]string{r.sheet.Name}), yearsIn(above); len(tab) == 1 && len(lines) == 1 && tab[0] != lines[0] && len(yearsIn(days)) == 0 {
		return "", ""
	}
	for _, place := range []struct {
		where string
		texts []string
	}{
		{"another day of the column", days}, {"the name of the tab", []string{r.sheet.Name}},
		{"a line above the table", above}, {"the name of the file", []string{r.sheet.File}},
	} {
		if years := yearsIn(place.texts); len(years) == 1 {
			return years[0], place.where
		} else if len(years) > 1 {
			return "", ""
		}
	}
	return "", ""
}

// yearsIn lists the years that are written in texts, each once.
func yearsIn(texts []string) []string {
	var years []string
	for _, text := range texts {
		for _, m := range yearWritten().FindAllStringSubmatch(text, -1) {
			years = append(years, m[1])
		}
	}
	slices.Sort(years)
	return slices.Compact(years)
}
