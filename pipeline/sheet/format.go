package sheet

import (
	_ "embed"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// numberFormat is what a number format says about the text of a cell.
type numberFormat struct {
	date     dateParts
	digits   int    // least digits before the point
	decimals int    // least digits behind it
	percent  bool   // shown as hundredths
	suffix   string // a unit behind the number
}

// dateParts says which parts of a date and time a format shows.
type dateParts struct {
	year, month, day, hour, minute, second bool
	elapsed                                bool // hours beyond 24 count on, as in [h]:mm
}

func (p dateParts) any() bool     { return p.hasDate() || p.hasTime() }
func (p dateParts) hasDate() bool { return p.year || p.month || p.day }
func (p dateParts) hasTime() bool { return p.hour || p.minute || p.second || p.elapsed }

//go:embed builtin_formats.csv
var builtinTable string

// builtinFormats are the number formats that a workbook uses by number without
// spelling them out.
var builtinFormats = sync.OnceValue(func() map[int]string {
	m := map[int]string{}
	for line := range strings.Lines(builtinTable) {
		id, code, ok := strings.Cut(strings.TrimSpace(line), "\t")
		if n, err := strconv.Atoi(id); ok && err == nil {
			m[n] = code
		}
	}
	return m
})

// parseFormat reads a number format code (ECMA-376 Part 1, 18.8.31). Only the
// first section counts, which holds for positive numbers and dates. Forms that
// do not show the whole number in one piece (fractions, powers of ten, signs
// inside) give the zero format, which leaves the number plain.
func parseFormat(code string) numberFormat {
	items := formatItems(code)
	if d := dateOf(items); d.any() {
		return numberFormat{date: d}
	}
	return numberOf(items)
}

// item is one piece of a format code: a placeholder as written, or a literal.
type item struct {
	code    byte   // 0 for a literal; lower case for letters
	literal string // text shown as it is
	elapsed bool   // in brackets, as [h]
}

func formatItems(code string) []item {
	var out []item
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case ';':
			return out
		case '"':
			j := strings.IndexByte(code[i+1:], '"')
			if j < 0 {
				j = len(code) - i - 1
			}
			out = append(out, item{literal: code[i+1 : i+1+j]})
			i += j + 1
		case '\\':
			r := firstRune(code[i+1:])
			out = append(out, item{literal: r})
			i += len(r)
		case '_', '*': // a blank as wide as the next sign, or filled with it: nothing to read
			i += len(firstRune(code[i+1:]))
		case '[':
			j := strings.IndexByte(code[i:], ']')
			if j < 0 {
				return out
			}
			inside := strings.ToLower(code[i+1 : i+j])
			if inside != "" && strings.Trim(inside, string(inside[0])) == "" && strings.ContainsAny(inside, "hms") {
				out = append(out, item{code: inside[0], elapsed: true})
			}
			i += j
		default:
			if c >= 0x80 || c == ' ' {
				r := firstRune(code[i:])
				out = append(out, item{literal: r})
				i += len(r) - 1
				continue
			}
			out = append(out, item{code: lower(c)})
		}
	}
	return out
}

func firstRune(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return s[:n]
}

func lower(c byte) byte {
	if 'A' <= c && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}

// dateOf finds the parts of a date. The letter m is minutes behind hours or
// before seconds, and a month otherwise.
func dateOf(items []item) dateParts {
	var d dateParts
	word := codes(items)
	if strings.Contains(word, "general") {
		return d
	}
	word = strings.NewReplacer("am/pm", "", "a/p", "").Replace(word)
	letters := strings.Map(func(r rune) rune {
		if strings.ContainsRune("ymdhs", r) {
			return r
		}
		return -1
	}, word)
	for i := 0; i < len(letters); i++ {
		switch letters[i] {
		case 'y':
			d.year = true
		case 'd':
			d.day = true
		case 'h':
			d.hour = true
		case 's':
			d.second = true
		case 'm':
			start := strings.TrimRight(letters[:i], "m")
			end := strings.TrimLeft(letters[i:], "m")
			if strings.HasSuffix(start, "h") || strings.HasPrefix(end, "s") {
				d.minute = true
			} else {
				d.month = true
			}
		}
	}
	for _, it := range items {
		if it.elapsed {
			d.elapsed = true
			d.minute = d.minute || it.code == 'm'
			d.month = d.month && it.code != 'm'
		}
	}
	return d
}

func codes(items []item) string {
	var b strings.Builder
	for _, it := range items {
		if it.code != 0 {
			b.WriteByte(it.code)
		} else {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// numberOf reads the placeholders of a number: literals before it are left
// out, a unit behind it is kept.
func numberOf(items []item) numberFormat {
	var f numberFormat
	word := strings.TrimSpace(codes(items))
	if strings.Trim(word, "0#?.,% ") != "" || strings.Count(word, ".") > 1 {
		return f
	}
	behind, seen, point, ended := "", false, false, false
	for _, it := range items {
		switch it.code {
		case '0', '#', '?':
			if ended {
				return numberFormat{}
			}
			if it.code == '0' && point {
				f.decimals++
			} else if it.code == '0' {
				f.digits++
			}
			behind, seen = "", true
		case '.':
			point = true
		case '%':
			f.percent, ended = true, true
		case 0:
			if seen {
				behind += it.literal
				ended = ended || strings.TrimSpace(it.literal) != ""
			}
		}
	}
	if strings.HasSuffix(strings.TrimRight(word, " %"), ",") { // shown in thousands
		return numberFormat{}
	}
	if unit(behind) {
		f.suffix = strings.TrimRight(behind, " ")
	}
	return f
}

// unit reports whether a literal behind a number can be a unit.
func unit(s string) bool {
	return strings.TrimSpace(s) != "" && len(s) <= 12 && !strings.ContainsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !strings.ContainsRune(" °µ/²³%'′″", r)
	})
}
