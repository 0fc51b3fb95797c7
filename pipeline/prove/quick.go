package prove

import "bytes"

// The functions of this file accept the usual forms of good values on their
// bytes. What they do not accept is not therefore wrong: the full check
// decides.

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// plainDecimal reads a number of at most 15 digits without an exponent. Digits
// and power of ten are then exact, and their quotient is rounded once, as
// strconv does it (Clinger 1990, Proc. PLDI: 92).
func plainDecimal(b []byte) (float64, bool) {
	i, sign := 0, 1.0
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		if b[0] == '-' {
			sign = -1
		}
		i = 1
	}
	digits, point := uint64(0), -1
	n := 0
	for ; i < len(b); i++ {
		c := b[i] - '0'
		switch {
		case c <= 9:
			digits = digits*10 + uint64(c)
			if n++; n > 15 {
				return 0, false
			}
		case b[i] == '.' && point < 0:
			point = n
		default:
			return 0, false
		}
	}
	if n == 0 {
		return 0, false
	}
	x := float64(digits)
	if point >= 0 {
		x /= tens[n-point]
	}
	return sign * x, true
}

func plainBetween(low, high float64) func([]byte) bool {
	return func(b []byte) bool {
		x, ok := plainDecimal(b)
		return ok && x >= low && x <= high
	}
}

func plainInteger(low, high int) func([]byte) bool {
	return func(b []byte) bool {
		n, ok := plainCount(b)
		return ok && n >= low && n <= high
	}
}

// plainCount reads a whole number of at most nine digits.
func plainCount(b []byte) (n int, ok bool) {
	if len(b) == 0 || len(b) > 9 {
		return 0, false
	}
	for _, c := range b {
		if c -= '0'; c > 9 {
			return 0, false
		}
		n = 10*n + int(c)
	}
	return n, true
}

func plainAccuracy(b []byte) bool {
	x, ok := plainDecimal(b)
	return ok && x >= 0
}

// plainNumeric accepts a number, a bound or a range.
func plainNumeric(b []byte) bool {
	if _, ok := plainDecimal(b); ok {
		return true
	}
	if len(b) == 0 {
		return false
	}
	if b[0] == '<' || b[0] == '>' {
		n := numberAhead(b[1:])
		return n > 0 && n == len(b)-1
	}
	n := numberAhead(b)
	return n > 0 && n < len(b) && b[n] == '-' && numberAhead(b[n+1:]) == len(b)-n-1 && n+1 < len(b)
}

// numberAhead returns the length of a number with or without decimals at the
// beginning, 0 for none.
func numberAhead(b []byte) int {
	i := 0
	if i < len(b) && b[i] == '-' {
		i++
	}
	whole := digitsAhead(b[i:])
	if whole == 0 {
		return 0
	}
	i += whole
	if i < len(b) && b[i] == '.' {
		if n := digitsAhead(b[i+1:]); n > 0 {
			i += 1 + n
		}
	}
	return i
}

func digitsAhead(b []byte) int {
	for i, c := range b {
		if c-'0' > 9 {
			return i
		}
	}
	return len(b)
}

// day is a date of the calendar.
type day struct{ year, month, day int }

var monthDays = [...]int{0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// plainDay reads a date such as 2021-06-12 at the beginning; rest is what
// comes after it.
func plainDay(b []byte) (d day, rest []byte, ok bool) {
	if len(b) < 10 || b[4] != '-' || b[7] != '-' {
		return day{}, nil, false
	}
	y, okY := plainCount(b[:4])
	m, okM := plainCount(b[5:7])
	n, okD := plainCount(b[8:10])
	if !okY || !okM || !okD || m < 1 || m > 12 {
		return day{}, nil, false
	}
	last := monthDays[m]
	if m == 2 && y%4 == 0 && (y%100 != 0 || y%400 == 0) {
		last++
	}
	return day{y, m, n}, b[10:], n >= 1 && n <= last
}

// plainDate accepts a day, or a day with a time.
func plainDate(b []byte) bool {
	_, rest, ok := plainDay(b)
	return ok && (len(rest) == 0 || rest[0] == 'T' && plainClock(rest[1:]))
}

// plainClock accepts hours and minutes, with or without seconds and a zone.
func plainClock(b []byte) bool {
	if len(b) < 5 || b[2] != ':' || !upTo(b[:2], 23) || !upTo(b[3:5], 59) {
		return false
	}
	b = b[5:]
	if len(b) >= 3 && b[0] == ':' {
		if !upTo(b[1:3], 59) {
			return false
		}
		b = b[3:]
	}
	switch {
	case len(b) == 0:
		return true
	case b[0] == 'Z':
		return len(b) == 1
	}
	return len(b) == 6 && (b[0] == '+' || b[0] == '-') && b[3] == ':' && upTo(b[1:3], 14) && upTo(b[4:6], 59)
}

func upTo(b []byte, most int) bool {
	n, ok := plainCount(b)
	return ok && n <= most
}

// plainAddress accepts addresses of the web that hold nothing unusual.
func plainAddress(b []byte) bool {
	rest, ok := bytes.CutPrefix(b, []byte("https://"))
	if !ok {
		if rest, ok = bytes.CutPrefix(b, []byte("http://")); !ok {
			return false
		}
	}
	for i, c := range rest {
		letter := c|0x20 >= 'a' && c|0x20 <= 'z' || c >= '0' && c <= '9' || c == '-' || c == '.'
		switch {
		case letter:
		case c == '/' && i > 0:
			return len(bytes.TrimLeft(rest[i:], "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._~/")) == 0
		default:
			return false
		}
	}
	return len(rest) > 0
}
