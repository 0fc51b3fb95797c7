package report_test

import (
	"runtime"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// cutFromOne cuts every string of captures and findings from one text of at
// least so many bytes, as a part that was read back has them.
func cutFromOne(captures []*record.Capture, findings []record.Finding, size int) {
	var all []*string
	address := func(a *record.Address) { all = append(all, &a.File, &a.Sheet) }
	reading := func(r *record.Reading) {
		all = append(all, &r.Measurement, &r.Text, &r.Unit, &r.WrittenUnit, &r.Instrument, &r.Observer, &r.Verbatim)
		address(&r.Column)
		if r.Rare != nil {
			all = append(all, &r.Rare.Remark)
		}
	}
	for _, c := range captures {
		all = append(all, &c.ID, &c.Key, &c.File, &c.Sheet, &c.Session)
		for i := range c.Values {
			v := &c.Values[i]
			all = append(all, &v.Term, &v.Text, &v.Verbatim)
			address(&v.Column)
		}
		for i := range c.Readings {
			reading(&c.Readings[i])
		}
		reading(c.Weighing.Gross)
		reading(c.Weighing.Tare)
	}
	for i := range findings {
		f := &findings[i]
		all = append(all, &f.Rule, &f.Capture, &f.Field, &f.Value, &f.Reason, &f.Suggestion, &f.Group, &f.Reference)
		address(&f.At)
		for k := range f.Also {
			address(&f.Also[k])
		}
		for k := range f.Figures {
			all = append(all, &f.Figures[k].Name)
		}
	}
	var b strings.Builder
	b.Grow(size)
	for _, s := range all {
		b.WriteString(*s)
	}
	text := b.String()
	at := 0
	for _, s := range all {
		n := len(*s)
		*s = text[at : at+n]
		at += n
	}
}

// No string of a capture or finding is kept: one of them would keep all texts
// of its part.
func TestGatherKeepsNoText(t *testing.T) {
	const size, parts = 16 << 20, 8
	for name, large := range map[string]bool{"whole": false, "large": true} {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		g := report.NewGatherer(season(1).Asked)
		if large {
			g.GrowNow()
		}
		var columns report.Columns
		for k := range parts {
			p := messySeason(300)
			for _, c := range p.Captures {
				c.Key += strings.Repeat("x", k)
			}
			for i := range p.Findings {
				p.Findings[i].Reason += strings.Repeat("x", k%3)
			}
			cutFromOne(p.Captures, p.Findings, size)
			record.SortFindings(p.Findings)
			g.Add(p.Captures, p.Findings)
			var of report.Columns
			for _, c := range p.Captures {
				of.Add(c)
			}
			columns.Join(&of)
		}
		runtime.GC()
		runtime.ReadMemStats(&after)
		if kept := int64(after.HeapAlloc) - int64(before.HeapAlloc); kept > size {
			t.Errorf("%s: %d bytes are kept of %d parts of %d", name, kept, parts, size)
		}
		runtime.KeepAlive(g)
		runtime.KeepAlive(&columns)
	}
}
