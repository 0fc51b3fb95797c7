package screen

import (
	"fmt"
	"math"
	"strings"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// sign is one thing that does not go together between two captures of a mark.
type sign struct {
	finding record.Finding
	heavy   bool // not to be had from a single animal
}

// follower compares the captures of each mark: sex and name that change, two
// places on one day, lengths that shrink beyond the error of measurement or
// grow faster than animals do. The repeatability limit is 1.96·√2·TEM (ISO
// 5725-6), TEM being the technical error of measurement, relative, from the
// survey's replicates where it has them. Several signs between the same two
// captures are one finding: the mark was read wrong or used again.
type follower struct {
	settings Settings
	sum      *Summary
	limits   []Limit
	pairs    int // of the survey
	tem      map[string]float64
}

// follow compares two captures of one mark.
func (j *follower) follow(mark string, a, b *record.Capture) []record.Finding {
	var signs []sign
	add := func(rule, term, reason string, heavy bool) {
		v := b.Value(term)
		at := b.Address()
		if v.From.File != "" {
			at = v.From
		}
		signs = append(signs, sign{record.Finding{Rule: rule, Level: record.Warning, At: at, Also: []record.Address{a.Address()},
			Capture: b.Key, Field: term, Value: v.Verbatim, Reason: reason, Group: "captures of mark " + mark}, heavy})
	}
	if x, y := strings.ToLower(a.Get("sex")), strings.ToLower(b.Get("sex")); opposite(x, y) {
		add("recapture-sex", "sex", fmt.Sprintf("Mark %s was %s on %s and is %s on %s.", mark, x, a.Get("eventDate"), y, b.Get("eventDate")), true)
	}
	if x, y := a.Kind(), b.Kind(); x != "" && y != "" && x != y {
		add("recapture-species", b.Name().Term, fmt.Sprintf("Mark %s was %s on %s and is %s on %s.", mark, x, a.Get("eventDate"), y, b.Get("eventDate")), true)
	}
	if x, y := a.Get("locality"), b.Get("locality"); x != "" && y != "" && x != y && a.Get("eventDate") == b.Get("eventDate") && len(b.Get("eventDate")) >= 10 {
		add("recapture-places", "locality", fmt.Sprintf("Mark %s was at %s and at %s on %s.", mark, x, y, b.Get("eventDate")), true)
	}
	if s, ok := j.size(mark, a, b); ok {
		signs = append(signs, s)
	}
	if len(signs) == 1 && signs[0].finding.Rule == "recapture-places" {
		signs[0].finding.Level = record.Note // one animal may walk, or a boundary run through the site
	}
	return joinSigns(mark, signs)
}

func opposite(a, b string) bool {
	return a == "male" && b == "female" || a == "female" && b == "male"
}

// joinSigns makes one finding of several heavy signs.
func joinSigns(mark string, signs []sign) []record.Finding {
	heavy, reasons := 0, []string{}
	for _, s := range signs {
		if s.heavy {
			heavy++
		}
		reasons = append(reasons, s.finding.Reason)
	}
	if heavy < 2 {
		out := make([]record.Finding, len(signs))
		for i, s := range signs {
			out[i] = s.finding
		}
		return out
	}
	first := signs[0].finding
	first.Rule = "mark-reused"
	first.Field, first.Value = "organismID", mark
	for _, s := range signs[1:] {
		first.Figures = append(first.Figures, s.finding.Figures...)
		if s.finding.At != first.At {
			first.Also = append(first.Also, s.finding.At)
		}
	}
	first.Reason = "These are hardly the same animal: the mark was misread or used again. " + strings.Join(reasons, " ")
	return []record.Finding{first}
}

// size compares the lengths of two captures and gives the one that changed
// most against what is believed.
func (j *follower) size(mark string, a, b *record.Capture) (sign, bool) {
	days, known := daysBetween(a.Get("eventDate"), b.Get("eventDate"))
	ra, rb := rowOf(a), rowOf(b)
	f := j.sum.fitFor(j.settings)
	f.resolve(ra)
	f.resolve(rb)
	two := !strings.EqualFold(ra.observer, rb.observer)
	var worst sign
	most := 1.0
	for i := range ra.cells {
		x := &ra.cells[i]
		y := rb.find(x.measurement)
		if x.kind != length || y == nil || x.measurement != bodyLength && rb.find(bodyLength) != nil {
			continue // the body length speaks for the animal where it was taken
		}
		d := y.log - x.log
		limit := j.limit(x, y, two)
		room := limit.plain
		if !known {
			continue // which came first is not certain
		}
		if d > 0 {
			room += j.growth(b, x, days)
		}
		if e := math.Abs(d) / room; e > most {
			most, worst = e, j.changed(mark, a, b, x, y, d, room, limit, days)
		}
	}
	return worst, most > 1
}

// changeLimit is how far two lengths of one animal differ by error alone.
type changeLimit struct {
	tem, plain, strict float64
	n                  int
}

// limit gives the repeatability limit of two cells, and the one that allows
// for the number of recaptures that are compared. Two observers agree less well
// than one with himself (common practice: their bias is as large as the error
// of one).
func (j *follower) limit(x, y *cell, two bool) changeLimit {
	tem := j.errorOf(x.measurement)
	pairs := j.sum.pairs(x.measurement)
	if two {
		tem *= math.Sqrt2
	}
	tem = math.Hypot(tem, math.Hypot(x.resolution, y.resolution)/math.Sqrt2)
	strict := distuv.UnitNormal.Quantile(1 - 0.025/float64(max(j.pairs, 1)))
	return changeLimit{tem: tem, plain: 1.96 * math.Sqrt2 * tem, strict: strict * math.Sqrt2 * tem, n: pairs.Len()}
}

// errorOf gives the technical error of a measurement.
func (j *follower) errorOf(measurement string) float64 {
	tem, ok := j.tem[measurement]
	if !ok {
		tem = j.settings.TEM
		if pairs := j.sum.pairs(measurement); pairs.Len() >= j.settings.MinGroup {
			tem = max(statistics.MADScale*pairs.Median()/math.Sqrt2, j.settings.MinScale)
		}
		j.tem[measurement] = tem
	}
	return tem
}

// growth reports whether a limit is of the growth of a measurement.
func (l *Limit) growth(measurement string) bool {
	return l.Measurement == measurement && l.Unit == "mm/d" && l.Maximum != nil
}

// growth gives the log growth that is believed over so many days: the taxon's
// own ceiling from the limits (unit mm/d) or the survey's.
func (j *follower) growth(c *record.Capture, from *cell, days float64) float64 {
	r := row{taxon: c.Kind(), sex: c.Get("sex"), stage: c.Get("lifeStage")}
	for i := range j.limits {
		l := &j.limits[i]
		if l.growth(from.measurement) && l.holdsFor(&r) {
			return math.Log1p(*l.Maximum * days / from.value)
		}
	}
	return math.Log1p(j.settings.GrowthPerDay * days)
}

func (j *follower) changed(mark string, a, b *record.Capture, x, y *cell, d, room float64, l changeLimit, days float64) sign {
	rule, verb := "recapture-shrunk", "shrank"
	if d > 0 {
		rule, verb = "recapture-grown", "grew"
	}
	level := record.Note
	if math.Abs(d) > room+l.strict-l.plain {
		level = record.Warning
	}
	unit := unitName(x.first().Unit)
	reason := fmt.Sprintf("The %s of mark %s %s from %s %s on %s to %s %s on %s, by %.1f %%; error of measurement", label(x.measurement), mark, verb,
		x.first().Text, unit, a.Get("eventDate"), y.first().Text, unit, b.Get("eventDate"), 100*math.Abs(math.Expm1(d)))
	explains := "explains"
	if d > 0 {
		reason += fmt.Sprintf(" and %.0f days of growth", days)
		explains = "explain"
	}
	reason += fmt.Sprintf(" %s %.1f %%.", explains, 100*math.Expm1(room))
	return sign{record.Finding{Rule: rule, Level: level, At: y.first().From, Also: []record.Address{x.first().From}, Capture: b.Key,
		Field: x.measurement, Value: y.first().Verbatim, Group: fmt.Sprintf("captures of mark %s, replicate pairs n = %d", mark, l.n), Reason: reason,
		Figures: []record.Figure{{Name: "value", Value: y.value}, {Name: "n", Value: float64(l.n)}, {Name: "centre", Value: x.value},
			{Name: "scale", Value: l.tem}, {Name: "statistic", Value: d}, {Name: "threshold", Value: room}},
		Reference: "ISO 5725-6:1994, 4.1"}, math.Abs(d) > room+3*l.plain}
}

// daysBetween gives the days between two ISO dates of full precision.
func daysBetween(a, b string) (float64, bool) {
	if len(a) < 10 || len(b) < 10 {
		return 0, false
	}
	x, err := time.Parse(time.DateOnly, a[:10])
	y, err2 := time.Parse(time.DateOnly, b[:10])
	if err != nil || err2 != nil {
		return 0, false
	}
	return math.Abs(y.Sub(x).Hours() / 24), true
}
