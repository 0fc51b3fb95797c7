package findings

import (
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Contents is all that was written of a capture within its own file, as sorted
// lines "name=text". It is the same wherever rows and columns stand and
// whatever kind of file holds them, so it takes the text as read (a date is
// written in many ways, a workbook drops zeros behind the point) and leaves out what was computed or comes from
// elsewhere. It is empty where nothing was written.
func Contents(c *record.Capture) string {
	var lines []string
	own := func(a record.Address) bool { return a.File == c.File && a.Sheet == c.Sheet && a.File != "" }
	for _, v := range c.Values {
		if own(v.From()) && v.Text != "" && !strings.HasPrefix(v.Term, "verbatim") {
			lines = append(lines, v.Term+"="+plainValue(v.Text))
		}
	}
	add := func(part string, r *record.Reading) {
		if r == nil || r.Derived || r.State == record.Missing || !own(r.From()) {
			return
		}
		text := r.Text
		if !r.Usable() {
			text = r.Verbatim
		}
		lines = append(lines, part+strconv.Itoa(r.Replicate)+"="+plainValue(text)+" "+r.Unit)
	}
	for i := range c.Readings {
		r := &c.Readings[i]
		add(r.Measurement+" "+r.Side, r)
	}
	if w := c.Weighing; w != nil {
		add("gross ", w.Gross)
		add("tare ", w.Tare)
		add("net ", w.Net)
	}
	for _, e := range c.Extras {
		if t := plainValue(e.Text); t != "" {
			lines = append(lines, "("+e.Heading+")="+t)
		}
	}
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}
