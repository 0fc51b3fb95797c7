package season

import (
	"regexp"
	"strconv"
	"strings"
)

// effort is what was put into a night at a site, in its own unit.
type effort struct {
	amount float64
	unit   string
}

var oneAmount = regexp.MustCompile(`^([0-9]+(?:[.,][0-9]+)?)\s*([^0-9]+)$`)

// effortOf reads the effort of a capture: samplingEffort, where it is one number
// with a unit ("40 trap-nights"), or else the size of the sample. Of "2 people,
// 3 h" nothing is taken: what it comes to nobody wrote.
func effortOf(t *stated) (effort, bool) {
	text := strings.TrimSpace(t.text(statedEffort))
	if text == "" {
		value, unit := strings.TrimSpace(t.text(statedSample)), strings.TrimSpace(t.text(statedSampleUnit))
		if value == "" || unit == "" {
			return effort{}, false
		}
		text = value + " " + unit
	}
	m := oneAmount.FindStringSubmatch(text)
	if m == nil {
		return effort{}, false
	}
	amount, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	unit := strings.ToLower(strings.TrimSpace(m[2]))
	return effort{amount, unit}, err == nil && amount > 0 && unit != ""
}

// countOf is the number of animals that a row stands for.
func countOf(t *stated) int {
	text := t.text(statedCount)
	if text == "" {
		return 1
	}
	if n, err := strconv.Atoi(text); err == nil && n > 0 {
		return n
	}
	return 1
}
