package quantity

import (
	"fmt"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

var (
	rangeWords = []string{"-", "...", "..", "to ", "bis ", "a ", "à ", "hasta ", "até "}
	pairWords  = []string{"/", ";", ",", "&", "and ", "y ", "e ", "et ", "und "}
)

// following reads everything after the first number and its unit.
func (p *parser) following(q *Quantity) {
	for p.skip(); p.s != ""; p.skip() {
		switch {
		case p.take("?") != "":
			q.doubt()
			if !q.UnitWritten {
				p.unit(q)
			}
		case p.spread(q), p.otherEnd(q), p.another(q):
		case p.s == "+":
			p.s = ""
			if q.State == record.Measured {
				q.State = record.Above
			}
		case p.qualified(q):
		default:
			p.remark(q)
			return
		}
		if q.State == record.Unread {
			return
		}
	}
}

// qualified reads a word such as "approx" after the number, bare or bracketed.
func (p *parser) qualified(q *Quantity) bool {
	s := strings.Trim(p.s, "()[] ")
	t := parser{s: s}
	st := t.word(after)
	if st == record.Measured || strings.TrimSpace(t.s) != "" {
		if s != "?" && s != "??" {
			return false
		}
		st = record.Doubtful
	}
	p.s = ""
	if st == record.Doubtful {
		q.doubt()
	} else {
		q.State = st
	}
	return true
}

// spread reads "± 0.2".
func (p *parser) spread(q *Quantity) bool {
	save := p.s
	if p.take("±", "+/-", "+-") == "" || q.State != record.Measured && q.State != record.Doubtful {
		p.s = save
		return false
	}
	var h Quantity
	if !p.number(&h) || h.State == record.Unread || h.Number < 0 {
		p.s = save
		p.remark(q)
		return true
	}
	if !unify(q, &h) {
		q.unread(ruleUnread, "the number and its ± are in different units", "")
		return true
	}
	q.Half = h.Number
	d := max(q.Decimals, h.Decimals)
	q.Low, q.High = tidy(q.Number-q.Half, d), tidy(q.Number+q.Half, d)
	return true
}

// otherEnd reads the second end of a range.
func (p *parser) otherEnd(q *Quantity) bool {
	save := p.s
	if q.State != record.Measured && q.State != record.Doubtful || p.take(rangeWords...) == "" {
		return false
	}
	p.skip()
	if p.s == "" || !isDigit(rune(p.s[0])) && p.s[0] != '.' {
		p.s = save
		return false
	}
	var h Quantity
	if !p.number(&h) {
		p.s = save
		return false
	}
	if h.State == record.Unread {
		q.State, q.Problems = record.Unread, append(q.Problems, h.Problems...)
		return true
	}
	if !unify(q, &h) {
		q.unread(ruleUnread, "the two ends of the range are in different units", "")
		return true
	}
	d := max(q.Decimals, h.Decimals)
	if h.Number < q.Number {
		unit := ""
		if q.UnitWritten {
			unit = " " + Display(q.Unit)
		}
		q.unread(ruleRange, fmt.Sprintf("%s is below %s", format(h.Number, h.Decimals), format(q.Number, q.Decimals)),
			format(h.Number, d)+"-"+format(q.Number, d)+unit)
		return true
	}
	q.State, q.Low, q.High = record.Interval, q.Number, h.Number
	q.Number, q.Decimals, q.Step = tidy((q.Low+q.High)/2, d+1), d, max(q.Step, h.Step)
	q.unrounded = q.unrounded || h.unrounded
	return true
}

// unify returns two parts of one statement the unit that either has.
func unify(a, b *Quantity) bool {
	switch {
	case !b.UnitWritten:
		b.Unit, b.UnitWritten = a.Unit, a.UnitWritten
	case !a.UnitWritten:
		a.Unit, a.UnitWritten = b.Unit, true
	}
	return a.Unit == b.Unit
}

// another reads a second measurement: "57 / 19 g". A unit written only after
// the last one holds for all.
func (p *parser) another(q *Quantity) bool {
	save := p.s
	if p.take(pairWords...) == "" {
		return false
	}
	next := parser{o: p.o, all: p.all, s: p.s}
	next.skip()
	if !startsNumber(next.s) {
		p.s = save
		return false
	}
	second := next.statement()
	p.s = ""
	if second.State == record.Unread {
		q.State, q.Problems = record.Unread, append(q.Problems, second.Problems...)
		return true
	}
	if second.Second != nil && q.Unit == second.Unit && second.Unit == second.Second.Unit {
		q.unread(ruleTwo, "the cell holds several measurements, and it is unclear whether they belong to one animal; none is read", "")
		return true
	}
	if !q.UnitWritten && second.UnitWritten {
		q.Unit, q.UnitWritten = second.Unit, true
	}
	q.Remark, second.Remark = join(q.Remark, second.Remark), ""
	q.Problems, second.Problems = append(q.Problems, second.Problems...), nil
	q.Second = &second
	return true
}

// remark takes the rest of the cell as a note, unless it is more likely a unit
// that is not known or another number.
func (p *parser) remark(q *Quantity) {
	rest := p.s
	p.s = ""
	word, _, more := strings.Cut(rest, " ")
	bare := strings.TrimRight(word, ".?!")
	switch {
	case startsNumber(rest) && p.measurement(q, rest):
		return
	case startsNumber(rest) || strings.HasPrefix(rest, ":") || strings.HasPrefix(rest, "+"):
		q.unread(ruleUnread, fmt.Sprintf("%q after the number cannot be read", rest), grouped(*q, rest))
		return
	case p.joined && likeNumber(word) && word != "¹": // a footnote: no number is its first power
		q.unread(ruleUnread, fmt.Sprintf("%q is attached to the number and cannot be read", word), "")
		return
	case p.joined && amongDigits.MatchString(word):
		q.unread(ruleLetter, fmt.Sprintf("%q has a letter among the digits", word), "")
		return
	case p.joined && !more && len(bare) == 1 && strings.Contains(p.o.Letters, strings.ToLower(bare)):
	case allLetters(bare):
		near := nearUnit(bare)
		if near != "" || !more && (p.joined || p.o.Want != "" && p.o.Want != "1" && otherUnit(bare)) {
			q.unread(ruleUnit, fmt.Sprintf("%q is not a known unit", bare), p.with(bare, near))
			return
		}
	}
	note := strings.TrimSpace(strings.TrimLeft(rest, "-–:;,/ "))
	if len(note) > 1 && note[0] == '(' && strings.IndexByte(note, ')') == len(note)-1 {
		note = strings.TrimSpace(note[1 : len(note)-1])
	}
	q.Remark = join(q.Remark, note)
}

// likeNumber reports whether what touches a number may be a part of it: an
// underscore, or signs and digits without a letter or a bracket before them.
func likeNumber(word string) bool {
	for _, r := range word {
		switch {
		case r == '_' || unicode.IsNumber(r):
			return true
		case unicode.IsLetter(r) || strings.ContainsRune("([{", r):
			return false
		}
	}
	return false
}

// measurement reads a second measurement that follows without a mark, if both
// have a unit: "57 mm 19 g".
func (p *parser) measurement(q *Quantity, rest string) bool {
	next := parser{o: p.o, all: p.all, s: rest}
	second := next.statement()
	if !q.UnitWritten || !second.UnitWritten || second.State == record.Unread || q.Unit == second.Unit {
		return false
	}
	q.Remark, second.Remark = join(q.Remark, second.Remark), ""
	q.Problems, second.Problems = append(q.Problems, second.Problems...), nil
	q.Second = &second
	return true
}

// grouped suggests one number for "12 345".
func grouped(q Quantity, rest string) string {
	if len(rest) < 3 || !isDigits(rest[:3]) || len(rest) > 3 && isDigit(rune(rest[3])) ||
		q.Decimals != 0 || q.UnitWritten || q.Number < 1 || q.Number > 999 {
		return ""
	}
	return format(q.Number, 0) + rest
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}
