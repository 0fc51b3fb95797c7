package normalise

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

const (
	longestMark  = 40
	marksForEach = 40 // marks as long as each other, for each that is a character longer or shorter
	maxUnlike    = 5  // marks of one length that are told
)

// markLengths looks for marks with a digit too many or too few in a table in which
// nearly all marks are equally long.
type markLengths struct {
	n     int // marks
	of    [longestMark + 2]int
	first [longestMark + 2][]record.Finding // of each length
	least [longestMark + 2]string           // of each length, among marks that are numbers
}

func (m *markLengths) add(c *record.Capture) {
	v := c.Value("organismID")
	if v == nil || v.Text == "" {
		return
	}
	m.n++
	at := min(utf8.RuneCountInString(v.Text), longestMark+1)
	if number(v.Text) && (m.least[at] == "" || v.Text < m.least[at]) {
		m.least[at] = strings.Clone(v.Text)
	}
	if m.of[at]++; m.of[at] <= maxUnlike {
		m.first[at] = append(m.first[at], record.Finding{Rule: "mark-length", Level: record.Warning, At: v.From(), Capture: strings.Clone(c.Key), Field: v.Term, Value: strings.Clone(v.Text)})
	}
}

func (m *markLengths) findings() (out []record.Finding) {
	for length := 2; length < longestMark; length++ {
		most := m.of[length]
		for _, other := range []int{length - 1, length + 1} {
			if few := m.of[other]; few == 0 || few > maxUnlike || most < marksForEach*(m.n-most) {
				continue
			}
			for _, f := range m.first[other] {
				if strings.ContainsAny(f.Value, "0123456789") && !strings.Contains(f.Value, " ") && !countsOn(f.Value, length) && !(other < length && number(f.Value) && strings.HasPrefix(m.least[length], "10")) { // 781 among numbers from 1048 on
					f.Reason = fmt.Sprintf("the mark has %d characters, but %d of %d in the table have %d", other, most, m.n, length)
					out = append(out, f)
				}
			}
		}
	}
	return out
}

// number reports whether a mark is a number written without zeros before it.
func number(mark string) bool { return mark[0] != '0' && strings.Trim(mark, "0123456789") == "" }

// countsOn reports whether the number at the end of a mark is just past the longest or
// just before the shortest of marks of another length, as 1001 is after 999.
func countsOn(mark string, length int) bool {
	digits := mark[len(strings.TrimRight(mark, "0123456789")):]
	n, err := strconv.ParseFloat("."+digits, 64)
	if err != nil {
		return false
	}
	return len(mark) > length && n < 0.15 || len(mark) < length && n >= 0.85
}
