package mapping

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/statistics"
	"spadefoot/pipeline/vocabulary"
)

// profile is what the values of one column look like. Shares are of the cells
// that hold something.
type profile struct {
	filled   int
	rows     int
	texts    []string  // the values, without those that mean "nothing taken"
	numbers  []float64 // one per row looked at, NaN where there is no number in the column's unit
	values   []float64 // the numbers, sorted
	numeric  float64   // share of numbers
	whole    float64   // share of numbers without decimals
	dates    float64
	times    float64
	degrees  float64 // share of texts written as a latitude or longitude
	unique   float64 // distinct texts per text
	distinct int
	length   float64 // mean number of letters
	spaced   float64 // share of texts with a blank within
	unit     string  // unit written in most cells
	decimal  byte
	decimals int     // most of any number
	counting float64 // share of rows in which a whole number follows the one above, or begins again
}

// rowsLooked is how many rows of a table a draft looks at, evenly spaced.
const rowsLooked = 300

func (g *guesser) profileColumns() {
	rows := g.table.Rows
	var looked []record.TableRow
	for i := range min(len(rows), rowsLooked) {
		looked = append(looked, rows[i*len(rows)/min(len(rows), rowsLooked)])
	}
	profile := func(i int, decimal byte) *profile {
		cells := make([]record.Cell, len(looked))
		for k, row := range looked {
			if i < len(row.Cells) {
				cells[k] = row.Cells[i]
			}
		}
		p := profiled(cells, before{heading: g.table.Columns[i].Heading, unit: g.unitWritten(i), decimal: decimal, mass: g.isMass(strings.Join(g.readings[i].words, ""))})
		p.counting = g.counting(i)
		return p
	}
	for i := range g.table.Columns {
		g.profiles = append(g.profiles, profile(i, 0))
	}
	if mark := g.decimalMark(); mark != 0 {
		for i, p := range g.profiles {
			if p.decimal == 0 && p.numeric < 1 {
				g.profiles[i] = profile(i, mark)
			}
		}
	}
}

// decimalMark is the decimal mark that the columns of numbers show, 0 where they show
// none or both.
func (g *guesser) decimalMark() (mark byte) {
	for _, p := range g.profiles {
		switch {
		case p.decimal == 0 || p.numeric < 0.8 || p.decimal == mark:
		case mark != 0:
			return 0
		default:
			mark = p.decimal
		}
	}
	return mark
}

// counting looks at the first rows, which follow each other.
func (g *guesser) counting(column int) float64 {
	n, counted, above := 0, 0, math.NaN()
	following, astray := 0, 0 // numbers beyond 1 that follow the one above, and that do not
	for _, row := range g.table.Rows[:min(len(g.table.Rows), rowsLooked)] {
		if column >= len(row.Cells) {
			continue
		}
		x, err := strconv.Atoi(strings.TrimSpace(row.Cells[column].Text))
		if err != nil {
			continue
		}
		if !math.IsNaN(above) {
			n++
			follows := float64(x) == above+1
			counted += int(share(follows || x <= 1 && above > 1))
			following += int(share(follows && x > 1))
			astray += int(share(!follows && x != 1))
		}
		above = float64(x)
	}
	switch {
	case n > 2 && following == n:
		return 1
	case n < 5:
		return 0
	case astray == 0 && following >= 5:
		return 1 // of each few, also where there is but one: 1, 1, 2, 1, 1, 2, 3
	}
	return float64(counted) / float64(n)
}

// yesWords and noWords are texts that answer a question.
var (
	yesWords = []string{"y", "yes", "s", "si", "sim", "ja", "oui", "true", "t", "1", "+", "x", "是"}
	noWords  = []string{"n", "no", "nao", "nein", "nee", "non", "false", "f", "0", "-", "否"}
)

// onceEach reports whether hardly any value stands more than once.
func (p *profile) onceEach() bool { return p.unique > 0.98 }

// wordBehind is the word that stands behind most of the numbers, "" for none.
func (p *profile) wordBehind() string {
	counts := map[string]int{}
	for _, t := range p.texts {
		if m := numberAndWord().FindStringSubmatch(t); m != nil {
			counts[m[1]]++
		}
	}
	return p.ofMost(counts)
}

// ofMost is the text that was counted in more than half of the cells, "" for none.
func (p *profile) ofMost(counts map[string]int) string {
	for text, n := range counts {
		if 2*n > p.filled {
			return text
		}
	}
	return ""
}

var numberAndWord = pattern.Of(`^\d+(?:[.,]\d+)? ?(\pL+)$`)

// yesNo reports whether the values answer a question with yes and no.
func (p *profile) yesNo() bool {
	return (p.filled > 2 || p.length > 1) && p.distinct <= 3 && p.ofTexts(func(t string) bool {
		return slices.Contains(yesWords, vocabulary.Fold(t)) || slices.Contains(noWords, vocabulary.Fold(t))
	}) == 1
}

// before is what is known of a column before its cells are read.
type before struct {
	heading string
	unit    string // that the heading or a unit row gives, "" for none; with one "7/8" is a fraction and no date
	decimal byte   // of numbers that do not show theirs, 0 for none
	mass    bool   // the heading is that of masses, of which 98.5-22 and 98.5 (with bag 22) are numbers: those without the bag
}

// lessBag takes apart, under the heading of a mass, that of an animal in its bag and that of
// the bag.
func (b before) lessBag(text string) (gross, bag string, ok bool) {
	if !b.mass {
		return "", "", false
	}
	if gross, bag, ok = quantity.Subtraction(text); ok || !strings.ContainsFunc(text, unicode.IsLetter) {
		return gross, bag, ok
	}
	mass, bag, included, _ := vocabulary.MassAndBag(text)
	return mass, bag, included
}

// profiled looks at the cells of a column.
func profiled(cells []record.Cell, b before) *profile {
	p := &profile{rows: len(cells)}
	dateLike := dateLike
	if b.unit != "" || slices.ContainsFunc(cells, func(c record.Cell) bool { return mixedNumber().MatchString(strings.TrimSpace(c.Text)) }) {
		dateLike = dateNotFraction
	}
	var marks quantity.Evidence
	for _, c := range cells {
		marks.Add(c.Text)
	}
	if p.decimal, _ = marks.Decimal(); p.decimal == 0 {
		p.decimal = b.decimal
	}
	behind := marks.Letters()
	units := map[string]int{}
	seen := map[string]bool{}
	var dates, times, degrees, numeric, remarked, whole, letters, spaced float64
	var own []string // the unit that stands beside each number, "" for none
	for _, c := range cells {
		text := strings.TrimSpace(c.Text)
		x, beside := math.NaN(), ""
		if text != "" && !quantity.Missing(text) && !quantity.Sentinel(text) {
			p.texts = append(p.texts, text)
			seen[text] = true
			letters += float64(len([]rune(text)))
			spaced += share(strings.ContainsRune(text, ' '))
			dates += share(dateLike(c))
			times += share(timeLike(text))
			degrees += share(degreeLike().MatchString(text))
			o := quantity.Options{Decimal: p.decimal, Unit: b.unit, Heading: b.heading, Letters: behind}
			q, bag := quantity.Parse(text, o), 0.0
			if from, less, ok := b.lessBag(text); ok {
				if gross, tare := quantity.Parse(from, o), quantity.Parse(less, o); gross.Usable() && tare.Usable() && gross.Number > tare.Number {
					q, bag = gross, tare.Number
				}
			}
			if q.Usable() && (bag > 0 || !dateLike(c)) {
				x = q.Number - bag
				numeric++
				remarked += share(strings.Contains(q.Remark, " "))
				whole += share(q.Decimals <= 0)
				p.decimals = max(p.decimals, q.Decimals)
				if q.UnitWritten {
					beside = q.Unit
					units[q.Unit]++
				}
			}
		}
		p.numbers, own = append(p.numbers, x), append(own, beside)
	}
	p.filled, p.distinct = len(p.texts), len(seen)
	if 2*remarked > numeric {
		numeric -= remarked // "2.5 mi N of the ford" is a text
	}
	if n := float64(p.filled); n > 0 {
		p.numeric, p.dates, p.times, p.degrees = numeric/n, dates/n, times/n, degrees/n
		p.unique, p.length, p.spaced = float64(p.distinct)/n, letters/n, spaced/n
	}
	if numeric > 0 {
		p.whole = whole / numeric
	}
	p.unit = p.ofMost(units)
	p.measure(own, cmp.Or(b.unit, p.unit))
	return p
}

// measure takes the numbers as values of the column. A unit beside a number
// speaks for that number only: it is converted to the unit of the column, and
// where the column has none it says nothing of the numbers without one.
func (p *profile) measure(own []string, unit string) {
	bare := false
	for i, x := range p.numbers {
		bare = bare || !math.IsNaN(x) && own[i] == ""
	}
	for i, x := range p.numbers {
		if own[i] != "" && own[i] != unit && (bare || unit != "") {
			converted, ok := inUnit(x, own[i], unit)
			if x = converted; unit == "" || !ok {
				x = math.NaN()
			}
			p.numbers[i] = x
		}
		if !math.IsNaN(x) {
			p.values = append(p.values, x)
		}
	}
	slices.Sort(p.values)
}

func share(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// moments is the share of the values that look like dates or times of day.
func (p *profile) moments() float64 { return p.dates + p.times }

// clockLike reports whether a text can be a time of day in a column of times:
// 9:30, 0930, 9.30, or a part of a day.
func clockLike(text string) bool {
	if _, ok := calendar.ParseDayFraction(text); ok {
		return true
	}
	return clockNumber().MatchString(text) || strings.ContainsAny(text, "0123456789") && calendar.ParseTime(text).ISO != ""
}

// readDecimals is the number of decimals that nothing read off an instrument in
// the field exceeds; a length in centimetres has less.
const (
	readDecimals       = 5
	centimetreDecimals = 3
)

// endAlike reports whether all texts end in the same word.
func (p *profile) endAlike() bool {
	last := func(text string) string { return vocabulary.Fold(text[strings.LastIndexByte(text, ' ')+1:]) }
	first := last(p.texts[0])
	return !slices.ContainsFunc(p.texts, func(text string) bool { return last(text) != first })
}

// computed reports whether the numbers lie on both sides of zero, and most of them were
// worked out, as those that were scaled or corrected are, or scaled to a mean of 0 and a
// standard deviation of 1.
func (p *profile) computed() bool {
	if len(p.values) < 5 || p.least() >= 0 || p.greatest() <= 0 {
		return false
	}
	mean, sd := statistics.MeanSD(p.values)
	return p.workedOut(readDecimals) || p.workedOut(1) && math.Abs(mean) < 0.3 && math.Abs(sd-1) < 0.2
}

// workedOut reports whether most numbers have more decimals than a number that was read.
// 45.3 that a program wrote as 45.29999999999999 is a number with one decimal.
func (p *profile) workedOut(decimals int) bool {
	long := count(len(p.values), func(i int) bool {
		short := p.values[i] * math.Pow10(decimals)
		return math.Abs(short-math.Round(short)) > 1e-4
	})
	return len(p.values) >= 5 && 2*long > len(p.values)
}

// median of the numbers, NaN if there is none.
func (p *profile) median() float64 {
	if len(p.values) == 0 {
		return math.NaN()
	}
	return p.values[len(p.values)/2]
}

// least and greatest are of the numbers, of which there must be some.
func (p *profile) least() float64    { return p.values[0] }
func (p *profile) greatest() float64 { return p.values[len(p.values)-1] }

// width is how far apart the numbers are, but for the farthest of them: the width of the
// narrowest range that holds a share of them. There must be some.
func (p *profile) width(share float64) float64 {
	out := int((1 - share) * float64(len(p.values)))
	width := math.Inf(1)
	for i := range out + 1 {
		width = min(width, p.values[len(p.values)-1-out+i]-p.values[i])
	}
	return width
}

// unitsApart is how many times as large as the others some lengths of a column are, with
// none between, if they are in another unit: ten for centimetres and millimetres, less
// what the lengths themselves differ by; 25 for inches. fewestOfSize is how many there
// have to be of either.
const (
	unitsApart   = 8
	fewestOfSize = 3
)

// ofTwoSizes reports whether the numbers are in two groups so far apart.
func (p *profile) ofTwoSizes() bool {
	for i := fewestOfSize; i <= len(p.values)-fewestOfSize; i++ {
		if p.values[i-1] > 0 && p.values[i] >= unitsApart*p.values[i-1] {
			return true
		}
	}
	return false
}

// within returns the share of the numbers between two bounds.
func (p *profile) within(low, high float64) float64 {
	if len(p.values) == 0 {
		return 0
	}
	return float64(count(len(p.values), func(i int) bool { return p.values[i] >= low && p.values[i] <= high })) / float64(len(p.values))
}

// ofTexts returns the share of the texts that fulfil a condition.
func (p *profile) ofTexts(is func(string) bool) float64 {
	if p.filled == 0 {
		return 0
	}
	return float64(count(len(p.texts), func(i int) bool { return is(p.texts[i]) })) / float64(p.filled)
}

var (
	plainNumber = pattern.Of(`^[-+]?\d+([.,]\d+)?$`)
	degreeLike  = pattern.Of(`(?i)^[NSEWO]?\s?[-+]?\d{1,3}([.,]\d{3,}\s*°?|\s*[°º].*|d\s?\d{1,2}['′].*|\s\d{1,2}([.,]\d+)?['′]?(\s\d{1,2}([.,]\d+)?["″]?)?)\s?[NSEWO]?$`)
)

// ones and zeros count the numbers that are 1 and 0.
func (p *profile) ones() int  { return p.equal(1) }
func (p *profile) zeros() int { return p.equal(0) }

func (p *profile) equal(to float64) int {
	return count(len(p.values), func(i int) bool { return p.values[i] == to })
}

// count returns how many of n things are such.
func count(n int, is func(i int) bool) int {
	such := 0
	for i := range n {
		if is(i) {
			such++
		}
	}
	return such
}

// dateLike reports whether a cell reads as a date, at least to the month. A
// plain number may be a year, a day number or anything: it does not count.
func dateLike(c record.Cell) bool {
	if c.Kind == record.Date {
		return strings.ContainsRune(c.Text, '-')
	}
	text := strings.TrimSpace(c.Text)
	if plainNumber().MatchString(text) || !strings.ContainsAny(text, "0123456789") {
		return false
	}
	return calendar.Parse(text, calendar.Options{Order: calendar.DMY}).Precision >= calendar.ToMonth ||
		calendar.Parse(text, calendar.Options{Order: calendar.MDY}).Precision >= calendar.ToMonth || calendar.Yearless(text)
}

var (
	clockNumber = pattern.Of(`^([01]?\d|2[0-3])[.,][0-5]\d$`)
	mixedNumber = pattern.Of(`^\d+[ -]\d{1,2}/(2|4|8|16|32|64)( ?["″]| ?in\.?| ?oz\.?)?$`)
	fractional  = pattern.Of(`^\D*(\d+[ -])?\d{1,2}/(2|4|8|16|32|64)(\D|$)`)
)

// dateNotFraction is dateLike in a column with fractions such as "2 5/8".
func dateNotFraction(c record.Cell) bool {
	return dateLike(c) && (c.Kind == record.Date || !fractional().MatchString(strings.TrimSpace(c.Text)))
}

// timeLike reports whether text reads as a time of day and has its mark, which a stroke
// between two numbers is not.
func timeLike(text string) bool {
	return !twoNumbers().MatchString(text) && !plainNumber().MatchString(text) && strings.ContainsAny(text, "0123456789") && calendar.ParseTime(text).ISO != ""
}
