package report

import (
	"html"
	"html/template"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/season"
)

// seasonTable is a table of the section under way. Its cells go past the template,
// which takes twenty times as long for each.
type seasonTable struct {
	html  []byte
	cells []string // what is before the text of each cell of a row
}

// headings are those of some columns, with the class of their cells.
type headings struct {
	class string
	names []string
}

func texts(names ...string) headings   { return headings{``, names} }
func numbers(names ...string) headings { return headings{` class="n"`, names} }
func ranges(names ...string) headings  { return headings{` class="n range"`, names} }

// newSeasonTable begins a table with its name for screen readers, its class if it
// has one, and its caption.
func newSeasonTable(name, class, caption string, columns ...headings) *seasonTable {
	t := &seasonTable{}
	t.write(`<div class="wide stack" tabindex="0" role="region" aria-label="`, html.EscapeString(name), `"><table`, class, `><caption>`, html.EscapeString(caption), "</caption>\n<thead><tr>")
	end := ""
	for _, h := range columns {
		for _, name := range h.names {
			t.write(`<th scope="col"`, strings.Replace(h.class, " range", "", 1), `>`, html.EscapeString(name), `</th>`)
			if end == "" {
				t.cells, end = append(t.cells, `<tr><th scope="row">`), `</th>`
				continue
			}
			t.cells, end = append(t.cells, end+`<td data-l="`+html.EscapeString(name)+`"`+h.class+`>`), `</td>`
		}
	}
	t.write("</tr></thead>\n<tbody>\n")
	return t
}

func (t *seasonTable) write(parts ...string) {
	for _, p := range parts {
		t.html = append(t.html, p...)
	}
}

func (t *seasonTable) row(texts ...string) {
	for i, text := range texts {
		t.write(t.cells[i], html.EscapeString(text))
	}
	t.write("</td></tr>\n")
}

func (t *seasonTable) end() template.HTML {
	t.write("</tbody></table></div>")
	return template.HTML(t.html)
}

// fourDigits is a number with four digits.
func fourDigits(x float64) string { return plot.Minus(season.FigureOf(x, 4)) }

// interval is an interval, blank where there is none.
func interval(low, high float64) string {
	if low != low || high != high {
		return ""
	}
	a, b := season.FigureOf(low, 4), season.FigureOf(high, 4)
	return plot.Minus(alike(a, b)) + " to " + plot.Minus(alike(b, a))
}

// SizeTable has the sizes of all sites together.
func (v *seasonView) SizeTable(m seasonMeasure) template.HTML {
	t := newSeasonTable("Sizes: "+m.Label, "", m.Label+m.Unit, texts("Species", "Sex", "Stage", "Season"), numbers("n", "Mean", "SD", "Median"), ranges("Range", v.Percent+" of the mean"), numbers("Left out"))
	for i := range m.Sizes {
		z := &m.Sizes[i]
		t.row(z.Species, z.Sex, z.Stage, z.Season, strconv.Itoa(z.N), fourDigits(z.Mean), fourDigits(z.SD), fourDigits(z.Median), interval(z.Least, z.Most), interval(z.Low, z.High), strconv.Itoa(z.LeftOut))
	}
	return t.end()
}

// SiteTable has the sizes by site.
func (v *seasonView) SiteTable(m seasonMeasure) template.HTML {
	t := newSeasonTable("Sizes by site: "+m.Label, "", m.Label+m.Unit+" by site", texts("Species", "Sex", "Stage", "Site", "Season"), numbers("n", "Mean", "SD", "Median"), ranges("Range"))
	for i := range m.SiteSizes {
		z := &m.SiteSizes[i]
		t.row(z.Species, z.Sex, z.Stage, z.Site, z.Season, strconv.Itoa(z.N), fourDigits(z.Mean), fourDigits(z.SD), fourDigits(z.Median), interval(z.Least, z.Most))
	}
	return t.end()
}

// ChangeTable has the changes between seasons.
func (v *seasonView) ChangeTable(m seasonMeasure) template.HTML {
	t := newSeasonTable("Changes between seasons: "+m.Label, "", m.Label+m.Unit, texts("Species", "Sex", "Stage", "Seasons"), numbers("n"), ranges("Means"), numbers("Difference"), ranges(v.Percent))
	for i := range m.Changes {
		c := &m.Changes[i]
		t.row(c.Species, c.Sex, c.Stage, c.Earlier+", "+c.Later, strconv.Itoa(c.First.N)+", "+strconv.Itoa(c.Second.N), fourDigits(c.First.Mean)+", "+fourDigits(c.Second.Mean), fourDigits(c.Value), interval(c.Low, c.High))
	}
	return t.end()
}

// SexTable has the animals by sex.
func (v *seasonView) SexTable() template.HTML {
	t := newSeasonTable("Sexes", "", "Animals by sex, all sites together; the interval of the proportion is the score interval (Wilson 1927)", texts("Species", "Stage", "Season"), numbers("Animals", "Males", "Females", "Other", "Proportion of males"), ranges(v.Percent))
	for _, s := range v.Sexes {
		t.row(s.Species, s.Stage, s.Season, strconv.Itoa(s.Animals), strconv.Itoa(s.Males), strconv.Itoa(s.Females), strconv.Itoa(s.Other()), fourDigits(s.Share), interval(s.Low, s.High))
	}
	return t.end()
}

// CatchTable has the captures per night, and per effort where some night states one.
func (v *seasonView) CatchTable() template.HTML {
	columns := []headings{texts("Species", "Season"), numbers("Nights", "Captures", "Per night"), ranges(v.Percent)}
	per := ""
	if v.Effort {
		per, columns = " and per effort", append(columns, texts("Effort"), numbers("Per effort"), ranges(v.Percent))
	}
	t := newSeasonTable("Captures per night", "", "Captures per night"+per+", all sites together", columns...)
	for _, c := range v.Catches {
		row := []string{c.Species, c.Season, strconv.Itoa(c.Nights), strconv.Itoa(c.Captures), fourDigits(c.PerNight), interval(c.Low, c.High)}
		if v.Effort {
			effort := ""
			if c.EffortNights > 0 {
				effort = fourDigits(c.Effort) + " " + c.EffortUnit
			}
			row = append(row, effort, fourDigits(c.PerEffort), interval(c.ELow, c.EHigh))
		}
		t.row(row...)
	}
	return t.end()
}

// LifeTable has the captures of marked animals.
func (v *seasonView) LifeTable() template.HTML {
	sizes := []string{"Days"}
	for _, name := range v.Grown {
		d := Described(v.measure, name)
		sizes = append(sizes, record.Capital(d.Label)+InUnit(d.Unit), "a day"+InUnit(d.Unit+"/d"))
	}
	t := newSeasonTable("Recaptured animals", ` class="lives"`, "Each capture of a marked animal, with its growth since the previous one",
		texts("Mark", "Species", "Sex", "Date", "Site"), numbers(sizes...))
	for _, l := range v.Lives {
		days := ""
		if l.Days >= 0 {
			days = strconv.Itoa(l.Days)
		}
		row := []string{l.Mark, l.Species, l.Sex, l.Date, l.Site, days}
		for _, s := range l.Sizes {
			size, day := "", ""
			if s.Known {
				size = season.FigureOf(s.Size, 4)
			}
			if s.Since {
				day = plot.Minus(season.FigureOf(s.PerDay, 2))
			}
			row = append(row, size, day)
		}
		t.row(row...)
	}
	return t.end()
}
