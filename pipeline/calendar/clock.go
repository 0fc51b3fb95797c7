package calendar

import (
	"fmt"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Clock is a time of day. Hour 24 is the midnight at the end of the day.
type Clock struct{ Hour, Minute, Second int }

func (c Clock) before(o Clock) bool { return c.seconds() < o.seconds() }

func (c Clock) seconds() int { return c.Hour*3600 + c.Minute*60 + c.Second }

func (c Clock) valid() bool {
	return c.Hour <= 23 && c.Minute <= 59 && c.Second <= 59 || c == Clock{Hour: 24}
}

// text writes a clock that is valid.
func (c Clock) text(p Precision) string {
	var buf [8]byte
	b := appendTwo(append(appendTwo(buf[:0], c.Hour), ':'), c.Minute)
	if p == ToSecond {
		b = appendTwo(append(b, ':'), c.Second)
	}
	return string(b)
}

// Time is one time of day or a range of two. ISO is "21:30", "21:30:05",
// "21:30-04:00" or "22:40/01:15"; "" if nothing was read. A range whose End is
// before its Start goes past midnight.
type Time struct {
	ISO        string
	Start, End Clock
	Range      bool
	Precision  Precision // ToMinute or ToSecond
	Offset     string    // "Z" or "-04:00" where one was written
	Missing    bool
	Doubtful   bool
	Remark     string
	Problems   []record.Problem
}

// ParseTime reads a time of day: "21:30", "21h30", "9:30 pm", "2130", "21.30",
// "22:40-01:15". It never fails: what is not understood has an empty ISO and a
// problem.
func ParseTime(text string) Time {
	s := clean(text)
	if isMissing(s) {
		return Time{Missing: true}
	}
	var t Time
	if len(s) > longest {
		t.Problems = []record.Problem{{Rule: ruleTime, Level: levels[ruleTime], Reason: fmt.Sprintf("a text of %d characters is not a time of day", len(s))}}
		return t
	}
	body := s
	if i := strings.IndexByte(body, '('); i > 0 && strings.HasSuffix(body, ")") {
		t.Remark, body = body[i+1:len(body)-1], strings.TrimSpace(body[:i])
	}
	for _, q := range []string{"ca.", "ca ", "c.", "~", "about ", "approx.", "approx "} {
		if rest, ok := strings.CutPrefix(strings.ToLower(body), q); ok {
			body, t.Doubtful = strings.TrimSpace(rest), true
		}
	}
	if rest := strings.TrimRight(body, "? "); rest != body {
		body, t.Doubtful = rest, true
	}
	if t.once(body, false) || t.fraction(body) || t.twice(body) {
		return t
	}
	t.Problems = append(t.Problems, record.Problem{
		Rule: ruleTime, Level: levels[ruleTime], Reason: fmt.Sprintf("%q cannot be read as a time of day", s),
	})
	return t
}

// ParseTens reads three digits as an hour and the tens of its minutes, as ringers
// write them: 084 is 08:40. ok is false for anything else.
func ParseTens(text string) (t Time, ok bool) {
	s := clean(text)
	if len(s) != 3 || strings.Trim(s, "0123456789") != "" {
		return Time{}, false
	}
	t = ParseTime(s + "0")
	return t, t.ISO != ""
}

// ParseMinutes reads one or two digits as minutes after midnight, as a program writes
// 0005 that takes it for a number. ok is false for anything else.
func ParseMinutes(text string) (t Time, ok bool) {
	s := clean(text)
	if len(s) < 1 || len(s) > 2 || strings.Trim(s, "0123456789") != "" {
		return Time{}, false
	}
	t = ParseTime("00:" + strings.Repeat("0", 2-len(s)) + s)
	return t, t.ISO != ""
}

// once reads one time of day. dated says that it is after the T of an ISO
// date, where -04:00 is an offset; elsewhere a hyphen parts two times.
func (t *Time) once(s string, dated bool) bool {
	c, p, offset, ok := clock(s, dated)
	if !ok {
		return false
	}
	t.Start, t.End, t.Precision, t.Offset = c, c, p, offset
	t.ISO = c.text(p) + offset
	return true
}

// fraction reads a spreadsheet's fraction of a day, at least three digits of
// it so that no hour with minutes is taken for one.
func (t *Time) fraction(s string) bool {
	if len(s) < 5 || !strings.HasPrefix(s, "0.") || strings.Trim(s[2:], "0123456789") != "" {
		return false
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return false
	}
	u := fractionOfDay(f)
	t.Start, t.End, t.Precision, t.ISO = u.Start, u.End, u.Precision, u.ISO
	return true
}

func (t *Time) twice(s string) bool {
	lower := strings.ToLower(s)
	for _, m := range []string{" - ", " to ", " bis ", " a ", " à ", " hasta ", " até ", "/", "-"} {
		i := strings.Index(lower, m)
		if i < 0 {
			continue
		}
		left, right := lower[:i], lower[i+len(m):]
		b, pb, _, okB := clock(right, false)
		a, pa, _, okA := clock(left, false)
		if okB && b.Hour >= 12 && strings.Contains(squeezed(right), "pm") && !strings.Contains(squeezed(left), "m") {
			if a2, pa2, _, ok := clock(left+"pm", false); ok && !b.before(a2) {
				a, pa, okA = a2, pa2, true // "9:30 - 11 pm"
			}
		}
		if !okA || !okB {
			continue
		}
		t.Start, t.End, t.Range, t.Precision = a, b, true, min(pa, pb)
		t.ISO = a.text(t.Precision) + "/" + b.text(t.Precision)
		return true
	}
	return false
}

// cutTime takes a time of day off the end of a date: "2021-06-03T21:30",
// "3 Jun 2021 9:30 pm". A midnight to the second is how programs write a date
// without a time, and is dropped.
func cutTime(s string) (string, Time) {
	for _, sep := range []string{"T", " "} {
		for i := strings.LastIndex(s, sep); i > 0; i = strings.LastIndex(s[:i], sep) {
			tail := s[i+1:]
			lower := strings.ToLower(tail)
			if !strings.Contains(tail, ":") && !strings.HasSuffix(squeezed(lower), "am") &&
				!strings.HasSuffix(squeezed(lower), "pm") && !hourMark(lower) {
				continue
			}
			var t Time
			if tail[0] < '0' || tail[0] > '9' || !t.once(tail, sep == "T") && !t.twice(tail) {
				continue
			}
			body := strings.TrimRight(s[:i], " ,;@")
			for _, w := range []string{" at", " um", " à", " a las", " às"} {
				body = strings.TrimSuffix(body, w)
			}
			if t.Precision == ToSecond && t.Start == (Clock{}) && !t.Range && t.Offset == "" {
				return body, Time{}
			}
			return body, t
		}
	}
	return s, Time{}
}

// hourMark reports whether s is like "21h30" or "21 h".
func hourMark(s string) bool {
	i := strings.IndexByte(s, 'h')
	return i > 0 && i <= 3 && strings.Trim(s[:i], "0123456789 ") == "" && strings.Trim(s[i+1:], "0123456789 rs") == ""
}
