package calendar

import (
	"strconv"
	"strings"
)

var squeezer = strings.NewReplacer(" ", "", ".", "")

// squeezed returns s in lower case without blanks and dots.
func squeezed(s string) string { return squeezer.Replace(strings.ToLower(s)) }

// cutOffset takes "Z", "+02:00", "-0400" off the end of a time with a colon.
func cutOffset(s string, dated bool) (rest, offset string, ok bool) {
	if rest, found := strings.CutSuffix(s, "z"); found {
		return strings.TrimSpace(rest), "Z", true
	}
	i := strings.LastIndexAny(s, "+-")
	if i < 4 || !strings.Contains(s[:i], ":") || s[i] == '-' && !dated {
		return s, "", true
	}
	digits := strings.Replace(s[i+1:], ":", "", 1)
	if len(digits) == 2 {
		digits += "00"
	}
	if len(digits) != 4 || strings.Trim(digits, "0123456789") != "" || digits[:2] > "14" || !strings.Contains("00 30 45", digits[2:]) {
		return s, "", false
	}
	return strings.TrimSpace(s[:i]), s[i:i+1] + digits[:2] + ":" + digits[2:], true
}

// clock reads one time of day.
func clock(s string, dated bool) (c Clock, p Precision, offset string, ok bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	s, offset, ok = cutOffset(s, dated)
	if !ok {
		return c, 0, "", false
	}
	half := 0
	for _, x := range []struct {
		end  string
		half int
	}{{"a.m.", 1}, {"a. m.", 1}, {"am", 1}, {"p.m.", 2}, {"p. m.", 2}, {"pm", 2}} {
		if rest, found := strings.CutSuffix(s, x.end); found {
			s, half = strings.TrimSpace(rest), x.half
			break
		}
	}
	word := false
	for _, w := range []string{"uhr", "hours", "hrs", "hr", "hs", "horas", "heures"} {
		if rest, found := strings.CutSuffix(strings.TrimSuffix(s, "."), w); found && half == 0 {
			s, word = strings.TrimSpace(rest), true
			break
		}
	}
	switch s {
	case "noon", "midday", "mediodia", "midi", "mittag":
		return Clock{Hour: 12}, ToMinute, "", half == 0
	case "midnight":
		return Clock{Hour: 24}, ToMinute, "", half == 0
	}
	c, p, ok = numerals(s, half > 0 || word)
	if !ok || half > 0 && (c.Hour < 1 || c.Hour > 12) {
		return c, 0, "", false
	}
	if half > 0 {
		c.Hour = c.Hour%12 + 12*(half-1)
	}
	return c, p, offset, c.valid()
}

// numerals reads hours, minutes and seconds. alone allows an hour by itself,
// since "9 pm" says what it is.
func numerals(s string, alone bool) (c Clock, p Precision, ok bool) {
	if strings.Trim(s, "0123456789") == "" {
		switch {
		case len(s) == 3 || len(s) == 4:
			n, _ := strconv.Atoi(s)
			return Clock{Hour: n / 100, Minute: n % 100}, ToMinute, true
		case len(s) >= 1 && len(s) <= 2 && alone:
			n, _ := strconv.Atoi(s)
			return Clock{Hour: n}, ToMinute, true
		}
		return c, 0, false
	}
	s = strings.TrimSuffix(strings.TrimSuffix(s, "min"), "m")
	fields := strings.FieldsFunc(s, func(r rune) bool { return r == ':' || r == 'h' || r == '.' || r == ' ' || r == 's' || r == 'm' })
	if len(fields) == 1 && strings.HasSuffix(s, "h") && len(fields[0]) >= 3 {
		return numerals(fields[0], true)
	}
	if len(fields) < 1 || len(fields) > 4 || len(fields) == 1 && !strings.HasSuffix(s, "h") {
		return c, 0, false
	}
	if len(fields) == 4 { // a fraction of a second, cut off
		if strings.Trim(fields[3], "0123456789") != "" || !strings.Contains(s, ":") {
			return c, 0, false
		}
		fields = fields[:3]
	}
	var n [3]int
	for i, f := range fields {
		v, err := strconv.Atoi(f)
		if err != nil || v < 0 || len(f) > 2 || i > 0 && len(f) != 2 {
			return c, 0, false
		}
		n[i] = v
	}
	p = ToMinute
	if len(fields) == 3 {
		p = ToSecond
	}
	return Clock{n[0], n[1], n[2]}, p, true
}
