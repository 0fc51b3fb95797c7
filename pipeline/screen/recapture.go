package screen

import (
	"fmt"
	"math"
	"strings"
	"time"

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
	again    map[string]*statistics.Sample // |log ratio| of lengths taken again by one hand within days
	growths  *growths
	known    knownMarks
	days     map[uint64]int // pairs of captures of one mark by their days
}

// follow compares two captures of one mark.
func (j *follower) follow(mark string, a, b *record.Capture) []record.Finding {
	var signs []sign
	add := func(rule, term, reason string, heavy bool) {
		v := b.Value(term)
		at := b.Address()
		if v.From().File != "" {
			at = v.From()
		}
		signs = append(signs, sign{record.Finding{Rule: rule, Level: record.Warning, At: at, Also: []record.Address{a.Address()},
			Capture: b.Key, Field: term, Value: v.Verbatim, Reason: reason, Group: "captures of mark " + mark}, heavy})
	}
	if x, y := strings.ToLower(a.Get("sex")), strings.ToLower(b.Get("sex")); opposite(x, y) {
		add("recapture-sex", "sex", fmt.Sprintf("mark %s was %s%s and is %s%s.", mark, x, theDay(a), y, theDay(b)), true)
	}
	if x, y := a.Kind(), b.Kind(); x != "" && y != "" && x != y {
		add("recapture-species", b.Name().Term, fmt.Sprintf("mark %s was %s%s and is %s%s.", mark, x, theDay(a), y, theDay(b)), true)
	}
	if x, y := a.Get("locality"), b.Get("locality"); x != "" && y != "" && x != y && a.Get("eventDate") == b.Get("eventDate") && len(b.Get("eventDate")) >= 10 {
		add("recapture-places", "locality", fmt.Sprintf("mark %s was at %s and at %s on %s.", mark, x, y, b.Get("eventDate")), true)
	}
	if s, ok := j.size(mark, a, b); ok {
		signs = append(signs, s)
	}
	if s, ok := j.unlike(mark, a, b); ok {
		signs = append(signs, s)
	}
	if len(signs) == 1 && signs[0].finding.Rule == "recapture-places" {
		signs[0].finding.Level = record.Note // one animal may walk, or a boundary run through the site
	}
	out := joinSigns(mark, signs)
	for i := range out {
		if out[i].Rule == "mark-reused" {
			v := b.Value("organismID")
			if v != nil && v.From().File != "" && v.From() != out[i].At {
				out[i].Also, out[i].At = append(out[i].Also, out[i].At), v.From()
			}
			j.nameMisread(&out[i], b)
		}
	}
	return out
}

// theDay is the day of a capture in words, where it is known.
func theDay(c *record.Capture) string {
	if day := c.Get("eventDate"); day != "" {
		return " on " + day
	}
	return ""
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
		if s.finding.Rule == "mark-reused" {
			heavy = 2 // the proportions tell by themselves
		}
		reasons = append(reasons, record.Capital(s.finding.Reason))
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
	first.Reason = "these are hardly the same animal: the mark was misread or used again. " + strings.Join(reasons, " ")
	return []record.Finding{first}
}

// size compares the lengths of two captures and returns the one that changed
// most against what is believed.
func (j *follower) size(mark string, a, b *record.Capture) (sign, bool) {
	days, known := daysBetween(a.Get("eventDate"), b.Get("eventDate"))
	ra, rb := rowOf(a), rowOf(b)
	f := j.sum.fitFor(j.settings)
	f.resolve(ra)
	f.resolve(rb)
	taxon := hashOrNone(b.Kind())
	var worst sign
	most := 1.0
	for i := range ra.cells {
		x := &ra.cells[i]
		y := rb.find(x.measurement)
		if x.kind != length || y == nil || x.measurement != bodyLength && rb.find(bodyLength) != nil {
			continue // the body length stands for the animal where it was taken
		}
		d := y.log - x.log
		limit := j.limit(f, x, y, observerOf(x.first(), ra.hand), observerOf(y.first(), rb.hand))
		d = excused(d, limit.bias)
		allowed := limit.plain
		if !known {
			continue // which came first is not certain
		}
		if d > 0 {
			growth, why := j.growth(b, taxon, x, days)
			allowed += growth
			limit.growth = why
		}
		if e := math.Abs(d) / allowed; e > most {
			most, worst = e, j.changed(mark, a, b, x, y, d, allowed, limit, days)
		}
	}
	return worst, most > 1
}

// excused is a difference less what the second hand reads more than the first, where
// that makes it smaller: what nobody read accuses no animal.
func excused(d, bias float64) float64 {
	less := d - bias
	switch {
	case math.Signbit(less) != math.Signbit(d):
		return 0
	case math.Abs(less) < math.Abs(d):
		return less
	}
	return d
}

// changeLimit is how far two lengths of one animal differ by error alone.
type changeLimit struct {
	tem, plain, strict float64
	bias               float64 // that the second hand reads more than the first
	n                  int     // pairs that the error is estimated from
	growth             string  // what the growth rests on
}

// limit returns the repeatability limit of two cells, and the one that allows for
// the number of recaptures that are compared. What is known of the bias of two
// hands is taken out; what is not adds to the error, as much as the error of one
// where nothing is known of a hand (common practice).
func (j *follower) limit(f *fitted, x, y *cell, first, second uint64) changeLimit {
	tem, n := j.errorOf(x.measurement)
	h := f.errors[x.measurement]
	if h == nil {
		h = &observerErrors{}
	}
	variance := x.resolution*x.resolution + y.resolution*y.resolution
	for _, by := range [...]uint64{first, second} {
		e := tem * h.relative(by)
		variance += e * e
	}
	l := changeLimit{n: n}
	if first != second {
		a, b := h.of[first], h.of[second]
		if a.known && b.known {
			l.bias = b.bias - a.bias
			variance += a.open*a.open + b.open*b.open
		} else {
			variance += 2 * tem * tem
		}
	}
	strict := statistics.NormalQuantile(1 - 0.025/float64(max(j.pairs, 1)))
	sd := math.Sqrt(variance)
	l.tem, l.plain, l.strict = sd/math.Sqrt2, 1.96*sd, strict*sd
	return l
}

// errorOf returns the technical error of a measurement, and the number of pairs
// that it comes from: replicates, else animals taken again by one hand within
// days; 0 where it is the usual one.
func (j *follower) errorOf(measurement string) (tem float64, n int) {
	pairs := j.sum.pairs(measurement)
	if pairs.Len() < j.settings.MinGroup {
		pairs = j.again[measurement]
	}
	if pairs.Len() < j.settings.MinGroup {
		return j.settings.TEM, 0
	}
	tem, ok := j.tem[measurement]
	if !ok {
		tem = max(statistics.MADScale*pairs.Median()/math.Sqrt2, j.settings.MinScale)
		j.tem[measurement] = tem
	}
	return tem, pairs.Len()
}

// minError returns the least error that any hand has in a measurement, and the
// most that the biases of two hands may differ by.
func (j *follower) minError(measurement string) (tem, bias float64) {
	tem, _ = j.errorOf(measurement)
	h := j.sum.fitFor(j.settings).errors[measurement]
	if h == nil {
		return tem, 0
	}
	least, most := 1.0, 0.0
	for by, e := range h.of {
		least, most = min(least, h.relative(by)), max(most, math.Abs(e.bias))
	}
	return tem * least, 2 * most
}

// relative is how well a hand repeats beside all of them, 1 where that is not
// known.
func (h *observerErrors) relative(by uint64) float64 {
	if e := h.of[by]; e.repeat > 0 && h.repeat > 0 {
		return e.repeat / h.repeat
	}
	return 1
}

// growth reports whether a limit is of the growth of a measurement.
func (l *Limit) growth(measurement string) bool {
	return l.Measurement == measurement && l.Unit == "mm/d" && l.Maximum != nil
}

// growth returns the log growth that is believed over so many days, and what it
// rests on: the taxon's own ceiling from the limits (unit mm/d), else what
// growths says of body lengths, else the usual rate.
func (j *follower) growth(c *record.Capture, taxon uint64, from *cell, days float64) (allowed float64, why string) {
	r := row{species: c.Kind(), sex: c.Get("sex"), stage: c.Get("lifeStage")}
	for i := range j.limits {
		l := &j.limits[i]
		if l.growth(from.measurement) && l.holdsFor(&r) {
			return math.Log1p(*l.Maximum * days / from.value), "limit"
		}
	}
	if from.measurement == bodyLength {
		return j.growths.believed(taxon, from.value, days)
	}
	return j.growths.byRate(from.measurement, days)
}

func (j *follower) changed(mark string, a, b *record.Capture, x, y *cell, d, allowed float64, l changeLimit, days float64) sign {
	rule, verb := "recapture-shrunk", "shrank"
	if d > 0 {
		rule, verb = "recapture-grown", "grew"
	}
	level := record.Note
	if math.Abs(d) > allowed+l.strict-l.plain {
		level = record.Warning
	}
	remarked, ok := explaining(remarksOf(b), y.measurement, d)
	if !ok && d > 0 { // the part was not whole before
		remarked, ok = explaining(remarksOf(a), x.measurement, -d)
	}
	unit := unitName(x.first().Unit)
	reason := fmt.Sprintf("the %s of mark %s %s from %s %s on %s to %s %s on %s, by %.1f %%; error of measurement", label(x.measurement), mark, verb,
		x.first().Text, unit, a.Get("eventDate"), y.first().Text, unit, b.Get("eventDate"), 100*math.Abs(math.Expm1(d)))
	explains := "explains"
	if d > 0 {
		reason += fmt.Sprintf(" and %.0f days of growth%s", days, j.growths.basis(hashOrNone(b.Kind()), l.growth))
		explains = "explain"
	}
	reason += fmt.Sprintf(" %s %.1f %%.", explains, 100*math.Expm1(allowed))
	f := record.Finding{Rule: rule, Level: level, At: y.first().From(), Also: []record.Address{x.first().From()}, Capture: b.Key,
		Field: x.measurement, Value: y.first().Verbatim, Group: fmt.Sprintf("captures of mark %s, replicate pairs n = %d", mark, l.n), Reason: reason,
		Figures: []record.Figure{{Name: "value", Value: y.value}, {Name: "n", Value: float64(l.n)}, {Name: "centre", Value: x.value},
			{Name: "scale", Value: l.tem}, {Name: "statistic", Value: d}, {Name: "threshold", Value: allowed}},
		Reference: "ISO 5725-6:1994, 4.1"}
	if ok {
		remarked.quiet(&f)
	}
	return sign{f, !ok && math.Abs(d) > allowed+3*l.plain}
}

// daysBetween returns the days between two ISO dates of full precision.
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
