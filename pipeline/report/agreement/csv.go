package agreement

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/statistics"
)

// cells is one line of CSV under construction, with its headings: each line of
// a table has the same headings.
type cells struct{ headings, texts []string }

func (c *cells) text(heading, text string) {
	c.headings, c.texts = append(c.headings, heading), append(c.texts, text)
}

func (c *cells) count(heading string, n int) { c.text(heading, strconv.Itoa(n)) }

// number leaves the cell blank where there is no number.
func (c *cells) number(heading string, v float64, there bool) {
	if !there {
		c.text(heading, "")
		return
	}
	c.text(heading, amount(v).String())
}

func (c *cells) bounded(heading string, b statistics.Bounded, there bool) {
	c.number(heading, b.Value, there)
	c.number(heading+"Low", b.Low, there)
	c.number(heading+"High", b.High, there)
}

func (c *cells) technical(t statistics.TechnicalError, there bool) {
	c.bounded("tem", statistics.Bounded{Value: t.TEM, Low: t.Low, High: t.High}, there)
	c.number("temPercent", t.Relative, there)
	c.number("reliability", t.Reliability, there)
	c.number("repeatability", t.Repeatability, there)
}

func (c *cells) forms(forms []statistics.Intraclass, names ...string) {
	for _, name := range names {
		heading := "icc" + strings.ReplaceAll(name, ",", "")
		i := slices.IndexFunc(forms, func(f statistics.Intraclass) bool { return f.Form == name })
		if i < 0 {
			c.bounded(heading, statistics.Bounded{}, false)
			continue
		}
		c.bounded(heading, statistics.Bounded{Value: forms[i].Value, Low: forms[i].Low, High: forms[i].High}, true)
	}
}

func writeCells(w io.Writer, all []cells, empty cells) error {
	out := csv.NewWriter(w)
	if err := out.Write(empty.headings); err != nil {
		return err
	}
	for _, l := range all {
		for i := range l.texts {
			l.texts[i] = lines.Defused(l.texts[i])
		}
		if err := out.Write(l.texts); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// CSV writes one line per observer and measurement. Sizes are in the unit of
// the line; Low and High are the ends of intervals; a blank is a figure that
// can't be computed, and the column missing says why.
func (o Report) CSV(w io.Writer) error {
	var lines []cells
	for i := range o.Result.Observers {
		who := &o.Result.Observers[i]
		for _, sc := range o.scores(who) {
			lines = append(lines, scoreCells(who.Name, o.measure(sc.Measurement).Label, sc))
		}
	}
	return writeCells(w, lines, scoreCells("", "", &observers.Score{}))
}

func scoreCells(who, label string, sc *observers.Score) cells {
	var c cells
	c.text("observer", who)
	c.text("measurement", sc.Measurement)
	c.text("label", label)
	c.text("unit", sc.Unit)
	c.text("verdict", string(sc.Verdict))
	c.text("notReached", strings.Join(notReached(sc), "; "))
	c.text("practise", sc.Next)
	c.count("individuals", sc.Individuals)
	c.count("readings", sc.Readings)
	there := sc.BiasMissing == ""
	c.text("reference", sc.Reference)
	c.count("compared", sc.Bias.Subjects)
	c.bounded("bias", sc.Bias.Bias, there)
	c.bounded("biasPercent", sc.RelativeBias, there)
	c.number("differenceSD", sc.Bias.SD, there)
	c.bounded("lowerLimit", sc.Bias.Lower, there)
	c.bounded("upperLimit", sc.Bias.Upper, there)
	c.number("slope", sc.Bias.Slope, there)
	c.number("slopeError", sc.Bias.SlopeSE, there)
	c.count("repeated", sc.Within.Subjects)
	c.technical(sc.Within, sc.WithinMissing == "")
	c.forms(sc.Forms, "1,1", "1,k")
	for _, k := range []struct{ heading, name string }{
		{"lineTemPercent", observers.Repeats}, {"lineBiasPercent", observers.BiasOf}, {"lineReliability", observers.Reliability},
	} {
		got := criterion(sc, k.name)
		c.number(k.heading, got.Line, got.Name != "")
	}
	c.text("missing", record.Joined("; ", sc.WithinMissing, sc.BiasMissing))
	return c
}

// AgreementCSV writes one line per measurement: how the observers agree with
// each other.
func (o Report) AgreementCSV(w io.Writer) error {
	var lines []cells
	for _, m := range o.measurements() {
		lines = append(lines, measurementCells(o.measure(m.Name).Label, m))
	}
	return writeCells(w, lines, measurementCells("", observers.Measurement{}))
}

func measurementCells(label string, m observers.Measurement) cells {
	var c cells
	c.text("measurement", m.Name)
	c.text("label", label)
	c.text("unit", m.Unit)
	c.text("observers", strings.Join(m.Observers, "; "))
	c.count("individuals", m.Individuals)
	c.count("compared", m.Between.Subjects)
	c.technical(m.Between, m.BetweenMissing == "")
	c.text("iccObservers", strings.Join(m.FormsObservers, "; "))
	c.count("iccIndividuals", m.FormsIndividuals)
	c.forms(m.Forms, "1,1", "2,1", "3,1", "1,k", "2,k", "3,k")
	c.text("missing", record.Joined("; ", m.BetweenMissing, m.FormsMissing))
	return c
}

// notReached names the criteria of a score that are not reached.
func notReached(sc *observers.Score) []string {
	var out []string
	for _, c := range sc.Criteria {
		if !c.Pass {
			out = append(out, c.Name)
		}
	}
	return out
}

// criterion returns the criterion of a name; its Name is empty where the line
// doesn't ask for it.
func criterion(sc *observers.Score, name string) observers.Criterion {
	for _, c := range sc.Criteria {
		if c.Name == name {
			return c
		}
	}
	return observers.Criterion{}
}
