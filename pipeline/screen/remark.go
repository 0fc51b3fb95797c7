package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// remark is a written reason for measurements that are unlike the rest of the animal: a
// tail that was cut, eggs in the body.
type remark struct {
	text string
	vocabulary.Explanation
}

// remarksOf reads the remarks of a capture: those on the animal, those beside its
// readings, and cells that no meaning was found for, with their headings.
func remarksOf(c *record.Capture) (all []remark) {
	read := func(text, heading, own string) {
		for _, e := range vocabulary.Explanations(strings.TrimSpace(heading+" "+text), own) {
			all = append(all, remark{strings.TrimSpace(text), e})
		}
	}
	for i := range c.Values {
		if v := &c.Values[i]; strings.HasSuffix(v.Term, "Remarks") || v.Term == "fieldNotes" || v.Term == "reproductiveCondition" {
			read(cmp.Or(v.Verbatim, v.Text), "", "")
		}
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Remark() != "" && !r.Derived {
			read(r.Verbatim, "", r.Measurement)
		}
	}
	for i := range c.Extras {
		read(c.Extras[i].Text, c.Extras[i].Heading, "")
	}
	for _, text := range c.Remarks {
		read(text, "", "")
	}
	return all
}

// explaining returns the remark that explains why a measurement is larger, or smaller
// where off is negative, by so much on the log scale than it should be.
func explaining(all []remark, measurement string, off float64) (remark, bool) {
	i := slices.IndexFunc(all, func(r remark) bool {
		return slices.Contains(r.Measurements, measurement) && r.Larger == (off > 0) && (r.Most == 0 || math.Abs(off) <= math.Log(r.Most))
	})
	if i < 0 {
		return remark{}, false
	}
	return all[i], true
}

// quiet makes a note of a finding that a remark explains.
func (r remark) quiet(f *record.Finding) {
	f.Level, f.Suggestion, f.Rewrites, f.Spread = record.Note, "", nil, record.Alone
	f.Reason += fmt.Sprintf(" The remark “%s” explains it.", r.text)
}

// heed leaves the cells out that remarks explain, once the row is strange. Where
// nothing else is wrong, or they were blamed, it adds a note.
func (j *judgement) heed(v *view, d verdict) {
	remarks := remarksOf(j.row.capture)
	if len(remarks) == 0 {
		return
	}
	var spared []int
	by := map[int]remark{}
	for i, c := range v.cells {
		if r, ok := explaining(remarks, c.measurement, v.alone(i)*v.tolerance(i)); ok {
			spared, by[i] = append(spared, i), r
		}
	}
	if len(spared) == 0 {
		return
	}
	for _, i := range spared {
		j.wrong = append(j.wrong, v.cells[i])
	}
	if _, _, _, still := j.verdict(j.wrong); still && !slices.ContainsFunc(d.cells, func(i int) bool { return slices.Contains(spared, i) }) {
		return
	}
	at := slices.MaxFunc(spared, func(a, b int) int { return cmp.Compare(math.Abs(v.alone(a)), math.Abs(v.alone(b))) })
	d.cells, d.accounts, d.copied, d.rivalled = []int{at}, nil, 0, 0
	if j.isExplained(v.cells[at]) {
		return
	}
	f := j.f.report(d, record.Note)
	f.Reason = strings.Replace(f.Reason, noSlip, "", 1)
	by[at].quiet(&f)
	j.findings = append(j.findings, f)
}
