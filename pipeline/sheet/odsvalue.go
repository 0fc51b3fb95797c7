package sheet

import (
	"strconv"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

// putTime adds a time of day or a span, stored as PT07H30M00S.
func (b *odsReader) putTime(c record.Cell, raw odsCell, parts dateParts) {
	millis, ok := odsDuration(raw.value)
	if !ok {
		b.grid.putText(c, raw.shown)
		return
	}
	b.grid.putDate(c, clockText(millis, parts), dateParts{hour: true})
}

// odsDate writes a stored date, which is ISO 8601 already, with the parts that
// its format shows.
func odsDate(value string, parts dateParts) string {
	day, clock, _ := strings.Cut(value, "T")
	if len(day) < len("2006-01-02") {
		return value
	}
	millis, ok := odsClock(clock)
	if !ok {
		return value
	}
	return dateText(day, millis, parts)
}

// odsClock reads hh:mm:ss with any decimals.
func odsClock(s string) (millis int64, ok bool) {
	if s == "" {
		return 0, true
	}
	p := strings.Split(s, ":")
	if len(p) != 3 {
		return 0, false
	}
	h, err1 := strconv.ParseInt(p[0], 10, 16)
	m, err2 := strconv.ParseInt(p[1], 10, 16)
	sec, err3 := strconv.ParseFloat(p[2], 64)
	return h*3_600_000 + m*60_000 + int64(sec*1000+0.5), err1 == nil && err2 == nil && err3 == nil && sec >= 0 && sec < 61
}

// odsDuration reads PT07H30M00S.
func odsDuration(s string) (millis int64, ok bool) {
	rest, ok := strings.CutPrefix(s, "PT")
	if !ok {
		return 0, false
	}
	h, rest, ok1 := strings.Cut(rest, "H")
	m, rest, ok2 := strings.Cut(rest, "M")
	sec, _, ok3 := strings.Cut(strings.ReplaceAll(rest, ",", "."), "S")
	if !ok1 || !ok2 || !ok3 {
		return 0, false
	}
	return odsClock(h + ":" + m + ":" + sec)
}

// number completes the format of a number by the text that is shown, in which
// the zeros stand that somebody saw. Its decimal sign depends on the locale.
func (s cellStyle) number(v float64, shown string) numberFormat {
	f := numberFormat{percent: strings.HasSuffix(strings.TrimSpace(shown), "%")}
	body := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(shown), "%"))
	end := strings.LastIndexFunc(body, unicode.IsDigit) + 1
	behind := body[end:]
	body = strings.TrimLeft(body[:end], "-−")
	if unit(behind) {
		f.suffix = behind
	}
	if strings.Trim(body, "0123456789.,' \u00a0\u202f’") != "" {
		return numberFormat{}
	}
	if i := strings.LastIndexAny(body, ".,"); i >= 0 {
		f.decimals = len(body) - i - 1
		if !sameNumber(v, body[:i], body[i+1:], f.percent) {
			f.decimals = 0 // it groups thousands, or the text is rounded
		}
		body = body[:i]
	}
	if strings.HasPrefix(body, "0") {
		f.digits = len(body)
	}
	return f
}

// sameNumber reports whether the shown digits are the stored number.
func sameNumber(v float64, whole, part string, percent bool) bool {
	digits := strings.Map(func(r rune) rune {
		if '0' <= r && r <= '9' {
			return r
		}
		return -1
	}, whole)
	n, err := strconv.ParseFloat(digits+"."+part, 64)
	if percent {
		v *= 100
	}
	return err == nil && (n == dustless(v) || n == -dustless(v))
}
