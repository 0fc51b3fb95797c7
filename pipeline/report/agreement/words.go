package agreement

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/statistics"
)

// percent writes a share for people: 0.95 is "95 %".
func percent(share float64) string { return plot.TickText(rounded(100*share)) + " %" }

func rounded(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// section gathers what the page says of one measurement.
func (o *Report) section(no int, m observers.Measurement) sectionView {
	label := o.measure(m.Name).Label
	s := sectionView{No: no, Label: record.Capital(label), Unit: plainUnit(m.Unit), Line: o.lineWords(m.Name)}
	d := decimalsFor(m.Between)
	if m.BetweenMissing == "" {
		t := m.Between
		s.Agreement = fmt.Sprintf("Between observers, the technical error of %s is %s %s (%s to %s), %s %% of the mean, with a reliability of %s: two observers differ by less than %s %s in 95 of 100 cases. First readings of %s by two observers or more.",
			label, fixed(t.TEM, d), s.Unit, fixed(t.Low, d), fixed(t.High, d), fixed(t.Relative, 2), share(t.Reliability),
			fixed(t.Repeatability, d), s.Unit, record.Plural(t.Subjects, "individual"))
	} else {
		s.Agreement = "The observers cannot be compared with each other: " + m.BetweenMissing + "."
	}
	s.FormsNone = m.FormsMissing
	s.FormsOf = fmt.Sprintf("%s by %s", record.Plural(m.FormsIndividuals, "individual"), strings.Join(m.FormsObservers, ", "))
	for _, f := range m.Forms {
		s.Forms = append(s.Forms, formRow{f.Form, formMeaning[f.Form], shares(f)})
	}
	for i := range o.Result.Observers {
		who := &o.Result.Observers[i]
		if sc := scoreOn(who, m); sc != nil {
			s.Rows = append(s.Rows, figuresOf(who.Name, sc, d))
		}
	}
	s.Pictures = o.picturesOf(no, m, d)
	return s
}

// formMeaning says in words which question each form answers (Shrout and
// Fleiss 1979).
var formMeaning = map[string]string{
	"1,1": "one reading, any observer for each individual",
	"2,1": "one reading, these observers as a sample of all",
	"3,1": "one reading, these observers only, ignoring a constant shift between them",
	"1,k": "the mean of all, any observers for each individual",
	"2,k": "the mean of all, these observers as a sample of all",
	"3,k": "the mean of all, these observers only, ignoring a constant shift between them",
}

func (o *Report) lineWords(measurement string) string {
	l := o.Settings.LineFor(measurement)
	var parts []string
	if l.RelativeTEM > 0 {
		parts = append(parts, "technical error at most "+plot.TickText(l.RelativeTEM)+" % of the mean")
	}
	if l.Bias > 0 {
		parts = append(parts, "bias at most "+plot.TickText(l.Bias)+" % of the size in either direction")
	}
	if l.Reliability > 0 {
		parts = append(parts, "reliability of "+plot.TickText(l.Reliability)+" or more")
	}
	if len(parts) == 0 {
		return "No pass mark is set."
	}
	return "Pass mark: " + strings.Join(parts, ", ") + "."
}

func figuresOf(name string, sc *observers.Score, d int) figureRow {
	r := figureRow{Name: name, Readings: sc.Readings, Missing: record.Joined("; ", sc.WithinMissing, sc.BiasMissing)}
	if sc.BiasMissing == "" {
		b := sc.Bias
		r.Bias = between(b.Bias.Value, b.Bias.Low, b.Bias.High, d, true)
		r.Limits = plusMinus(b.Lower.Value, d) + " to " + plusMinus(b.Upper.Value, d)
	}
	if t := sc.Within; sc.WithinMissing == "" {
		r.TEM = between(t.TEM, t.Low, t.High, d, false)
		r.Relative, r.R = fixed(t.Relative, 2), share(t.Reliability)
	}
	if len(sc.Forms) > 0 {
		r.ICC = share(sc.Forms[0].Value)
	}
	return r
}

// decimalsFor returns the digits behind the point that an error deserves: two
// figures of it.
func decimalsFor(t statistics.TechnicalError) int {
	if !(t.TEM > 0) || math.IsInf(t.TEM, 0) {
		return 2
	}
	return min(max(1-int(math.Floor(math.Log10(t.TEM))), 0), 4)
}

// fixed writes a number with so many digits behind the point, and a true minus.
func fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "none"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

func plusMinus(v float64, decimals int) string {
	s := fixed(v, decimals)
	if v > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// between writes a figure and its interval: "+0.80 (+0.71 to +0.89)".
func between(v, low, high float64, decimals int, sign bool) string {
	write := fixed
	if sign {
		write = plusMinus
	}
	return fmt.Sprintf("%s (%s to %s)", write(v, decimals), write(low, decimals), write(high, decimals))
}

// share writes a figure whose best is 1, which it keeps for what is 1.
func share(v float64) string {
	if s := fixed(v, 3); s != "1.000" || v == 1 {
		return s
	}
	return ">0.999"
}

func shares(f statistics.Intraclass) string {
	return fmt.Sprintf("%s (%s to %s)", share(f.Value), share(f.Low), share(f.High))
}

// plainUnit writes a unit code for a sentence.
func plainUnit(code string) string { return strings.Trim(report.InUnit(code), " ()") }
