package agreement

import (
	"encoding/json"
	"io"
	"math"
	"strconv"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/statistics"
)

// amount is a number in JSON; what isn't a number is null.
type amount float64

// MarshalJSON writes the shortest text that reads back as the same number.
func (x amount) MarshalJSON() ([]byte, error) {
	if v := float64(x); !math.IsNaN(v) && !math.IsInf(v, 0) {
		return json.Marshal(v)
	}
	return []byte("null"), nil
}

// String writes the number for a cell of CSV: six significant digits.
func (x amount) String() string {
	if v := float64(x); !math.IsNaN(v) && !math.IsInf(v, 0) {
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	return ""
}

type bounds struct {
	Value amount `json:"value"`
	Low   amount `json:"low"`
	High  amount `json:"high"`
}

func boundsOf(b statistics.Bounded) *bounds {
	return &bounds{amount(b.Value), amount(b.Low), amount(b.High)}
}

type jsonForm struct {
	Form  string `json:"form"`
	Value amount `json:"value"`
	Low   amount `json:"low"`
	High  amount `json:"high"`
	F     amount `json:"f"`
	DF1   amount `json:"df1"`
	DF2   amount `json:"df2"`
	P     amount `json:"p"`
}

func formsOf(forms []statistics.Intraclass) []jsonForm {
	out := make([]jsonForm, 0, len(forms))
	for _, f := range forms {
		out = append(out, jsonForm{f.Form, amount(f.Value), amount(f.Low), amount(f.High), amount(f.F), amount(f.DF1), amount(f.DF2), amount(f.P)})
	}
	return out
}

type jsonError struct {
	Subjects      int    `json:"individuals"`
	Readings      int    `json:"readings"`
	Freedom       int    `json:"degreesOfFreedom"`
	Mean          amount `json:"mean"`
	TEM           bounds `json:"tem"`
	Relative      amount `json:"relativeTEM"`
	SD            amount `json:"sd"`
	Reliability   amount `json:"reliability"`
	Repeatability amount `json:"repeatability"`
}

func errorOf(t statistics.TechnicalError, missing string) *jsonError {
	if missing != "" {
		return nil
	}
	return &jsonError{t.Subjects, t.Readings, t.Freedom, amount(t.Mean), bounds{amount(t.TEM), amount(t.Low), amount(t.High)},
		amount(t.Relative), amount(t.SD), amount(t.Reliability), amount(t.Repeatability)}
}

type jsonBias struct {
	Reference    string     `json:"reference"`
	Individuals  int        `json:"individuals"`
	Bias         *bounds    `json:"bias"`
	RelativeBias *bounds    `json:"relativeBias"`
	SD           amount     `json:"sd"`
	Lower        *bounds    `json:"lowerLimit"`
	Upper        *bounds    `json:"upperLimit"`
	Slope        amount     `json:"slope"`
	SlopeSE      amount     `json:"slopeError"`
	Pairs        []jsonPair `json:"pairs"`
}

type jsonPair struct {
	Individual string `json:"individual"`
	Observed   amount `json:"observed"`
	Reference  amount `json:"reference"`
}

func biasOf(sc *observers.Score) *jsonBias {
	if sc.BiasMissing != "" {
		return nil
	}
	l := sc.Bias
	b := &jsonBias{sc.Reference, l.Subjects, boundsOf(l.Bias), boundsOf(sc.RelativeBias), amount(l.SD),
		boundsOf(l.Lower), boundsOf(l.Upper), amount(l.Slope), amount(l.SlopeSE), make([]jsonPair, 0, len(sc.Pairs))}
	for _, p := range sc.Pairs {
		b.Pairs = append(b.Pairs, jsonPair{p.Individual, amount(p.Observed), amount(p.Reference)})
	}
	return b
}

type jsonCriterion struct {
	Name  string `json:"name"`
	Value amount `json:"value"`
	Low   amount `json:"low"`
	High  amount `json:"high"`
	Line  amount `json:"line"`
	Pass  bool   `json:"pass"`
	Sure  bool   `json:"sure"`
	More  int    `json:"more,omitempty"` // individuals that would settle it
}

type jsonScore struct {
	Measurement    string          `json:"measurement"`
	Unit           string          `json:"unit"`
	Individuals    int             `json:"individuals"`
	Readings       int             `json:"readings"`
	Repeats        *jsonError      `json:"repeats"`
	RepeatsMissing string          `json:"repeatsMissing,omitempty"`
	Forms          []jsonForm      `json:"intraclass"`
	Agreement      *jsonBias       `json:"agreement"`
	BiasMissing    string          `json:"agreementMissing,omitempty"`
	Criteria       []jsonCriterion `json:"criteria"`
	Verdict        string          `json:"verdict"`
	Next           string          `json:"next"`
}

type jsonObserver struct {
	Name     string      `json:"name"`
	Passed   bool        `json:"passed"`
	Practise []string    `json:"practise"`
	Scores   []jsonScore `json:"measurements"`
}

type jsonMeasurement struct {
	Name             string     `json:"name"`
	Label            string     `json:"label"`
	Unit             string     `json:"unit"`
	Observers        []string   `json:"observers"`
	Individuals      int        `json:"individuals"`
	Between          *jsonError `json:"between"`
	BetweenMissing   string     `json:"betweenMissing,omitempty"`
	Forms            []jsonForm `json:"intraclass"`
	FormsObservers   []string   `json:"intraclassObservers"`
	FormsIndividuals int        `json:"intraclassIndividuals"`
}

type jsonLine struct {
	Measurement string `json:"measurement,omitempty"`
	RelativeTEM amount `json:"relativeTEM,omitempty"`
	Bias        amount `json:"bias,omitempty"`
	Reliability amount `json:"reliability,omitempty"`
}

type jsonSettings struct {
	Instructor string     `json:"instructor,omitempty"`
	Level      amount     `json:"level"`
	Least      int        `json:"least"`
	AcrossDays bool       `json:"acrossDays"`
	Lines      []jsonLine `json:"lines"`
}

// JSON writes everything that the comparison found, as described by
// schemas/observers.schema.json. What can't be computed is null.
func (o Report) JSON(w io.Writer) error {
	doc := struct {
		Program      string             `json:"program"`
		Version      string             `json:"version"`
		Dataset      string             `json:"dataset"`
		Title        string             `json:"title"`
		Inputs       []report.InputNote `json:"inputs"`
		Settings     jsonSettings       `json:"settings"`
		Captures     int                `json:"captures"`
		Observers    []jsonObserver     `json:"observers"`
		Measurements []jsonMeasurement  `json:"measurements"`
		Counts       findings.Counts    `json:"counts"`
		Findings     []record.Finding   `json:"findings"`
	}{
		Program: "spadefoot", Version: o.Version, Dataset: o.Dataset, Title: o.Title, Captures: o.Captures,
		Inputs: append([]report.InputNote{}, o.Inputs...), Observers: []jsonObserver{}, Measurements: []jsonMeasurement{},
		Settings: jsonSettings{o.Settings.Instructor, amount(o.Settings.Level), o.Settings.Least, o.Settings.AcrossDays, []jsonLine{}},
		Counts:   findings.Count(o.Findings), Findings: append([]record.Finding{}, o.Findings...),
	}
	for _, l := range o.Settings.Lines {
		doc.Settings.Lines = append(doc.Settings.Lines, jsonLine{l.Measurement, amount(l.RelativeTEM), amount(l.Bias), amount(l.Reliability)})
	}
	for i := range o.Result.Observers {
		doc.Observers = append(doc.Observers, o.jsonObserver(&o.Result.Observers[i]))
	}
	for _, m := range o.measurements() {
		doc.Measurements = append(doc.Measurements, jsonMeasurement{m.Name, o.measure(m.Name).Label, m.Unit, m.Observers, m.Individuals,
			errorOf(m.Between, m.BetweenMissing), m.BetweenMissing, formsOf(m.Forms), append([]string{}, m.FormsObservers...), m.FormsIndividuals})
	}
	return record.WriteJSON(w, doc, "", " ")
}

func (o *Report) jsonObserver(who *observers.Observer) jsonObserver {
	out := jsonObserver{Name: who.Name, Passed: who.Passed, Practise: append([]string{}, who.Practise...), Scores: []jsonScore{}}
	for _, sc := range o.scores(who) {
		s := jsonScore{Measurement: sc.Measurement, Unit: sc.Unit, Individuals: sc.Individuals, Readings: sc.Readings,
			Repeats: errorOf(sc.Within, sc.WithinMissing), RepeatsMissing: sc.WithinMissing, Forms: formsOf(sc.Forms),
			Agreement: biasOf(sc), BiasMissing: sc.BiasMissing, Criteria: []jsonCriterion{}, Verdict: string(sc.Verdict), Next: sc.Next}
		for _, c := range sc.Criteria {
			s.Criteria = append(s.Criteria, jsonCriterion{c.Name, amount(c.Value), amount(c.Low), amount(c.High), amount(c.Line), c.Pass, c.Sure, c.More})
		}
		out.Scores = append(out.Scores, s)
	}
	return out
}
