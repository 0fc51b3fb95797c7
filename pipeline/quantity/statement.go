package quantity

import (
	"fmt"
	"math"
	"strings"

	"spadefoot/pipeline/record"
)

// parser reads a cell from left to right; s is what is left of it.
type parser struct {
	o      Options
	all    string // the cell
	s      string
	joined bool // the letters that follow touch the number
}

// with is the cell with a part of it written otherwise, as a suggestion.
func (p *parser) with(part, otherwise string) string {
	if otherwise == "" {
		return ""
	}
	return strings.Replace(p.all, part, otherwise, 1)
}

func (p *parser) skip() { p.s = strings.TrimLeft(p.s, " \u00a0") }

// take removes the first of the prefixes that s starts with.
func (p *parser) take(prefixes ...string) string {
	for _, x := range prefixes {
		if strings.HasPrefix(p.s, x) {
			p.s = p.s[len(x):]
			return x
		}
	}
	return ""
}

// statement reads: qualifier, number, unit, and what follows.
func (p *parser) statement() Quantity {
	var q Quantity
	p.heading()
	all := p.s
	if s := strings.TrimLeft(p.s, "'="); startsNumber(s) {
		p.s = s // a spreadsheet's mark for "this is text", or an equals sign
	}
	p.qualifier(&q)
	if !p.number(&q) {
		if q.State == record.Unread {
			return q
		}
		q.State = record.Unread
		if corrected := correctLetters(all); corrected != "" {
			q.problem(ruleLetter, fmt.Sprintf("%q has a letter among the digits", all), corrected)
		}
		return q
	}
	if corrected := correctLetters(all); corrected != "" && q.State != record.Unread {
		return Quantity{State: record.Unread, Problems: []record.Problem{{
			Rule: ruleLetter, Level: levels[ruleLetter], Suggestion: corrected,
			Reason: fmt.Sprintf("%q has a letter among the digits", all),
		}}}
	}
	if q.State == record.Unread {
		return q
	}
	p.joined = !q.UnitWritten && p.s != "" && p.s[0] != ' '
	p.following(&q)
	return q
}

// shortestHeading is the number of bytes below which a heading before a number may
// stand for something else: "L 21" is the left one.
const shortestHeading = 3

// heading takes off the heading of the column where it is said again before the
// number.
func (p *parser) heading() {
	if p.o.Heading == "" || startsNumber(p.s) {
		return
	}
	name := p.o.Heading
	if _, rest, ok := HeadingUnit(name); ok {
		name = rest
	}
	if n := len(name); n >= shortestHeading && len(p.s) > n && strings.EqualFold(p.s[:n], name) {
		if s := strings.TrimLeft(p.s[n:], " :="); startsNumber(s) {
			p.s = s
		}
	}
}

func startsNumber(s string) bool {
	s = strings.TrimLeft(s, "+-")
	return s != "" && (isDigit(rune(s[0])) || len(s) > 1 && (s[0] == '.' || s[0] == ',') && isDigit(rune(s[1])))
}

// qualifier reads what may be before a number.
func (p *parser) qualifier(q *Quantity) {
	for {
		p.skip()
		switch {
		case p.take("<=", "=<", "<") != "":
			q.State = record.Below
		case p.take(">=", "=>", ">") != "":
			q.State = record.Above
		case p.take("~", "?", "±", "+/-") != "":
			q.doubt()
		default:
			w := p.word(before)
			switch w {
			case record.Measured:
				return
			case record.Doubtful:
				q.doubt()
			default:
				q.State = w
			}
		}
	}
}

// before are the words that qualify the number after them, after those for
// the number before them.
var (
	before = map[string]record.State{
		"c": record.Doubtful, "ca": record.Doubtful, "circa": record.Doubtful,
		"approx": record.Doubtful, "approximately": record.Doubtful, "about": record.Doubtful,
		"around": record.Doubtful, "est": record.Doubtful, "estimated": record.Doubtful,
		"roughly": record.Doubtful, "aprox": record.Doubtful, "cerca de": record.Doubtful,
		"aproximadamente": record.Doubtful, "env": record.Doubtful, "environ": record.Doubtful,
		"etwa": record.Doubtful, "ungefahr": record.Doubtful, "zirka": record.Doubtful,
		"under": record.Below, "below": record.Below, "less than": record.Below,
		"menos de": record.Below, "moins de": record.Below, "unter": record.Below,
		"over": record.Above, "above": record.Above, "more than": record.Above,
		"at least": record.Above, "mas de": record.Above, "mais de": record.Above,
		"plus de": record.Above, "uber": record.Above,
	}
	after = map[string]record.State{
		"approx": record.Doubtful, "approximately": record.Doubtful, "aprox": record.Doubtful,
		"est": record.Doubtful, "estimated": record.Doubtful, "estimate": record.Doubtful,
		"ca": record.Doubtful, "circa": record.Doubtful, "environ": record.Doubtful,
		"uncertain": record.Doubtful, "unsure": record.Doubtful, "doubtful": record.Doubtful,
		"or more": record.Above, "or less": record.Below,
	}
)

// word takes one of the qualifying words off the start of s, or gives Measured.
func (p *parser) word(words map[string]record.State) record.State {
	if p.s == "" || p.s[0] < 'A' {
		return record.Measured
	}
	fields := strings.SplitN(p.s, " ", 3)
	for n := min(len(fields), 2); n > 0; n-- {
		head := strings.Join(fields[:n], " ")
		if i := strings.IndexAny(head, "0123456789"); i >= 0 {
			head = strings.TrimRight(head[:i], " ") // "c.40" joins a word and a number
			head = strings.TrimSuffix(strings.TrimSuffix(head, " ."), " ,")
		}
		head = strings.TrimRight(head, " ")
		if st, ok := words[missingKey(strings.TrimRight(head, ".,:"))]; ok {
			p.s = strings.TrimLeft(p.s[len(head):], " :")
			return st
		}
	}
	return record.Measured
}

// part takes the step of the column for a number that was written with a
// fraction or as a whole: "2 1/2" among sixteenths is 2 8/16, and "2" is 2 0/16.
func (p *parser) part(q *Quantity) {
	own := !q.UnitWritten || q.Unit == p.o.Unit
	if p.o.Part > 0 && p.o.Part < q.Step && own && halved(p.o.Unit) && (q.unrounded || q.Decimals == 0) {
		q.Step, q.Decimals, q.unrounded = p.o.Part, fractionPlaces(p.o.Part), true
	}
}

// number reads a numeral and the unit right after it into q. Problems of the
// numeral set q Unread. It reports false if there is no numeral at all.
func (p *parser) number(q *Quantity) bool {
	p.skip()
	n, rest, ok := scanNumber(p.s, p.o.Decimal)
	if !ok {
		return false
	}
	numeral := p.s[:len(p.s)-len(rest)]
	p.s = rest
	q.Number, q.Decimals, q.Step, q.unrounded = n.value, n.decimals, n.step, n.fraction
	p.numeral(q, n, numeral)
	if q.State == record.Unread {
		return true
	}
	p.unit(q)
	p.compound(q)
	p.part(q)
	if n.bare && !halved(q.Unit) && (q.UnitWritten || !halved(p.o.Unit)) {
		q.unread(ruleFraction, numeral+" may be a fraction or two measurements", p.with(numeral, format(n.value, 4)))
	}
	return true
}

// halved reports whether a unit is one of those that are divided by halving.
func halved(code string) bool { return strings.HasPrefix(code, "[") }

// numeral turns what scanning found into problems.
func (p *parser) numeral(q *Quantity, n number, s string) {
	switch {
	case n.marks.bad:
		q.unread(ruleUnread, fmt.Sprintf("%q is not a number", s), p.with(s, oneMark(s)))
	case n.marks.unclear:
		q.unread(ruleMark, fmt.Sprintf("the comma in %q may be a decimal comma or a thousands separator: %s or %s", s,
			strings.Replace(s, ",", ".", 1), strings.Replace(s, ",", "", 1)), "")
	case n.marks.clash:
		q.problem(ruleMarkOther, fmt.Sprintf("%q does not use the decimal mark of the column", s), "")
	}
	if n.noise {
		q.problem(ruleNoise, fmt.Sprintf("%q is %s with digits left over from floating-point arithmetic", s, format(n.value, n.decimals)),
			"")
	}
}

// oneMark suggests a number for one with a mark written twice: "12..5".
func oneMark(s string) string {
	t := strings.NewReplacer("..", ".", ",,", ",", ".,", ".", ",.", ".").Replace(s)
	if n, rest, ok := scanNumber(t, 0); t != s && ok && rest == "" && !n.marks.bad && !n.marks.unclear {
		return t
	}
	return ""
}

// compound adds a smaller unit that follows at once: 1'11", 2 lb 3 oz.
func (p *parser) compound(q *Quantity) {
	if !q.UnitWritten || q.unrounded || q.Decimals > 0 {
		return
	}
	save := p.s
	var small Quantity
	p.skip()
	if p.s == "" || !isDigit(rune(p.s[0])) {
		p.s = save
		return
	}
	n, rest, ok := scanNumber(p.s, p.o.Decimal)
	if !ok || n.marks.bad || n.marks.unclear {
		p.s = save
		return
	}
	p.s = rest
	p.unit(&small)
	if !small.UnitWritten && q.Unit == "[ft_i]" {
		small.Unit = "[in_i]" // 5'11 is five foot eleven
	}
	f, ok := Factor(q.Unit, small.Unit)
	ratio := 0.0
	if ok {
		ratio, _ = f.Float64()
	}
	if ratio <= 1 || n.value >= ratio {
		p.s = save
		return
	}
	sign := 1.0
	if math.Signbit(q.Number) {
		sign = -1
	}
	q.Number = q.Number*ratio + sign*n.value
	q.Unit, q.Decimals, q.Step, q.unrounded = small.Unit, n.decimals, n.step, n.fraction
}
