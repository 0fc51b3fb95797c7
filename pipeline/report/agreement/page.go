package agreement

import (
	"embed"
	"html/template"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/plot"
	"spadefoot/schemas"
)

// Report is what the comparison of observers is written from.
type Report struct {
	Title, Dataset, Version string
	About                   []report.Fact
	Captures                int
	Result                  observers.Result
	Settings                observers.Settings
	Findings                []record.Finding // on the readings
	Inputs                  []report.InputNote
	Measure                 func(name string) report.Measure // nil names a measurement by its name
	Order                   report.Order                     // nil for the order of names
}

func (o *Report) measure(name string) report.Measure {
	return report.Described(o.Measure, name)
}

// measurements are those of the result in the order of the outputs.
func (o *Report) measurements() []observers.Measurement {
	out := slices.Clone(o.Result.Measurements)
	if o.Order == nil {
		return out
	}
	var names []string
	for _, m := range out {
		names = append(names, m.Name)
	}
	names = o.Order(names)
	sorting.StableFunc(out, func(a, b observers.Measurement) int {
		return slices.Index(names, a.Name) - slices.Index(names, b.Name)
	})
	return out
}

// scores are those of an observer in the order of the outputs.
func (o *Report) scores(who *observers.Observer) []*observers.Score {
	var out []*observers.Score
	for _, m := range o.measurements() {
		if sc := scoreOn(who, m); sc != nil {
			out = append(out, sc)
		}
	}
	return out
}

func scoreOn(who *observers.Observer, m observers.Measurement) *observers.Score {
	for i := range who.Scores {
		if sc := &who.Scores[i]; sc.Measurement == m.Name && sc.Unit == m.Unit {
			return sc
		}
	}
	return nil
}

//go:embed page.html
var pageFile embed.FS

var pageTemplate = template.Must(template.Must(template.New("page.html").Funcs(template.FuncMap{
	"one": record.Plural, "sealed": report.Sealed,
}).ParseFS(schemas.Folder{FS: pageFile}, "page.html")).New("style").Parse(report.StyleText))

// HTML writes the comparison as one self-contained page: text first, pictures
// in SVG, no script. The same comparison gives the same bytes.
func (o Report) HTML(w io.Writer) error {
	var t report.Tally
	for i := range o.Findings {
		t.Add(&o.Findings[i])
	}
	v := view{Report: o, Percent: percent(o.Settings.Level), Doubts: t.RuleNotes(false), Notes: t.RuleNotes(true)}
	for _, m := range o.measurements() {
		v.Heads = append(v.Heads, record.Capital(o.measure(m.Name).Label))
		v.Sections = append(v.Sections, o.section(len(v.Sections)+1, m))
	}
	for i := range o.Result.Observers {
		v.add(&o, &o.Result.Observers[i])
	}
	for _, f := range o.Findings {
		if f.Level < record.Warning {
			continue
		}
		if len(v.Said) < maxSaid {
			v.Said = append(v.Said, doubtSaid{f, report.SplitReason(f)})
		} else {
			v.Unsaid++
		}
	}
	return pageTemplate.ExecuteTemplate(w, "page.html", v)
}

// maxSaid keeps the page of a messy survey readable.
const maxSaid = 60

// view is what the template reads.
type view struct {
	Report
	Percent        string // confidence level of the intervals
	Heads          []string
	People         []personView
	Reached, Short int // observers who reach every line, and who have something to practise
	Open           int // the others
	Readings       int
	Sections       []sectionView
	Said           []doubtSaid
	Unsaid         int // doubts that the page leaves to observers.json
	Doubts, Notes  []report.RuleNote
}

type doubtSaid struct {
	Finding record.Finding
	Said    report.ReasonParts
}

// personView is one observer with a word for each measurement.
type personView struct {
	Name, Verdict string
	Words         []string
	Practise      []string
	Hints         []string // for measurements without a failure
}

func (v *view) add(o *Report, who *observers.Observer) {
	p := personView{Name: who.Name, Practise: o.practise(who)}
	for _, m := range o.measurements() {
		sc := scoreOn(who, m)
		p.Words = append(p.Words, verdictWord(sc))
		if sc == nil {
			continue
		}
		v.Readings += sc.Readings
		if len(notReached(sc)) == 0 && sc.Next != "" {
			p.Hints = append(p.Hints, record.Capital(o.measure(m.Name).Label)+": "+sc.Next+".")
		}
	}
	switch who.Verdict() {
	case observers.Pass:
		p.Verdict = "reached"
	case observers.Fail:
		p.Verdict = "not reached"
	case observers.NotSure:
		p.Verdict = "not sure"
	case observers.NotEnough:
		p.Verdict = "no verdict"
	}
	switch {
	case who.Passed:
		v.Reached++
	case len(p.Practise) > 0:
		v.Short++
	default:
		v.Open++
	}
	v.People = append(v.People, p)
}

// practise returns what to practise as sentences, most needed first, with the
// measurement by its label.
func (o *Report) practise(who *observers.Observer) []string {
	var out []string
	for _, text := range who.Practise {
		for _, sc := range o.scores(who) {
			if rest, ok := strings.CutSuffix(text, ": "+sc.Next); ok && rest != text {
				text = o.measure(sc.Measurement).Label + ": " + sc.Next
				break
			}
		}
		out = append(out, record.Capital(text)+".")
	}
	return out
}

// verdictWord says how one observer is on one measurement.
func verdictWord(sc *observers.Score) string {
	switch {
	case sc == nil:
		return "not measured"
	case sc.Verdict == observers.Fail:
		return "fail: " + strings.Join(notReached(sc), ", ")
	}
	return string(sc.Verdict)
}

// sectionView is one measurement.
type sectionView struct {
	No          int
	Label, Unit string
	Line        string // what the line asks for
	Agreement   string // between observers, as a sentence
	FormsOf     string
	Forms       []formRow
	FormsNone   string
	Rows        []figureRow
	Pictures    []plot.Picture
}

type formRow struct{ Form, Meaning, Value string }

// figureRow is the line of one observer in the table of figures.
type figureRow struct {
	Name                           string
	Readings                       int
	Bias, Limits, TEM, Relative, R string
	ICC, Missing                   string
}
