package weigh

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"spadefoot/mappings"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/schemas"
)

// checkPhrase is a phrase of mappings/calibration_words.csv, as folded words.
type checkPhrase struct {
	kind  string
	words []string
}

var checkPhrases = sync.OnceValue(func() (all []checkPhrase) {
	for _, r := range schemas.Must(mappings.Table[struct {
		Kind     string           `csv:"kind"`
		Language string           `csv:"language"`
		Words    vocabulary.Words `csv:"words"`
	}]("calibration_words.csv")) {
		for _, phrase := range r.Words {
			p := checkPhrase{kind: r.Kind}
			for word := range strings.FieldsSeq(phrase) {
				p.words = append(p.words, vocabulary.Fold(word))
			}
			all = append(all, p)
		}
	}
	sorting.StableFunc(all, func(a, b checkPhrase) int { return cmp.Compare(len(b.words), len(a.words)) })
	return all
})

// beginsCheck reports whether a line of a sheet begins as one on a check of a
// scale does: "Calibration: …", "Check weight", "Zero check".
func beginsCheck(text string) bool {
	words := checkTokens(text)
	if len(words) == 0 || words[0].number {
		return false
	}
	return slices.ContainsFunc(checkPhrases(), func(p checkPhrase) bool { return p.kind == "line" && startsWith(words, p.words) })
}

// checksIn reads what a line says of checks of a scale, as "Calibration: 50 g
// weight reads 50.5 g; zero 0.1". The scale is the one that is named, or the only
// one that weighs; the day that the line says, else Date is "". Why says what was not
// understood; nothing is then taken from the line.
func checksIn(text string, scales []Instrument) (checks []Check, why string) {
	_, text, _ = cutName(text)
	for piece := range strings.SplitSeq(checkStop.ReplaceAllString(text, ";"), ";") {
		if strings.TrimSpace(piece) == "" {
			continue
		}
		c, why := readCheck(piece, scales)
		if why != "" {
			return nil, why
		}
		checks = append(checks, c)
	}
	if len(checks) == 0 {
		return nil, "there is no mass in it"
	}
	for i := range checks { // a scale or a day that is named once holds for all of the line
		checks[i].Scale = cmp.Or(checks[i].Scale, checks[0].Scale)
		checks[i].Date = cmp.Or(checks[i].Date, checks[0].Date)
	}
	return checks, ""
}

// checkStop ends what is said of one check: a comma before a blank, no decimal one.
var checkStop = regexp.MustCompile(`,\s+|\s+(?:and|und|y|e|et|en)\s+`)

var checkDay = regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`)

// cutName takes the beginning of the line off, where a colon ends it; what is said
// in it of zero stays.
func cutName(text string) (name, rest string, ok bool) {
	name, rest, ok = strings.Cut(text, ":")
	if !ok || !beginsCheck(name) || len(checkTokens(name)) > 4 {
		return "", text, false
	}
	if slices.ContainsFunc(checkTokens(name), func(t checkToken) bool { return t.number }) {
		return "", text, false
	}
	return name, name + " " + rest, true
}

// checkToken is a word, a sign, or a number with its unit.
type checkToken struct {
	text   string // folded
	number bool
	value  float64
	unit   string // UCUM code, "" where none was written
}

var tokenPattern = regexp.MustCompile(`[-+]?\d+(?:[.,]\d+)?|\p{L}[\p{L}\p{M}']*|->|→|=|:`)

func checkTokens(text string) (out []checkToken) {
	for _, s := range tokenPattern.FindAllString(text, -1) {
		if v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64); err == nil && strings.ContainsFunc(s, unicode.IsDigit) {
			out = append(out, checkToken{text: s, number: true, value: v})
			continue
		}
		if n := len(out); n > 0 && out[n-1].number && out[n-1].unit == "" {
			if unit, ok := quantity.FindUnit(s); ok && quantity.Dimension(unit) == "mass" {
				out[n-1].unit = unit
				continue
			}
		}
		out = append(out, checkToken{text: cmp.Or(vocabulary.Fold(s), s)})
	}
	return out
}

func startsWith(tokens []checkToken, words []string) bool {
	return len(tokens) >= len(words) && !slices.ContainsFunc(words, func(w string) bool { return w == "" }) &&
		slices.EqualFunc(tokens[:len(words)], words, func(t checkToken, w string) bool { return !t.number && t.text == w })
}

// wording is the kinds of words between the numbers of a check: before the first, between
// the two, and behind.
type wording [3]map[string]bool

func (s wording) in(part int, kinds ...string) bool {
	return slices.ContainsFunc(kinds, func(k string) bool { return s[part][k] })
}

// readCheck reads one check.
func readCheck(text string, scales []Instrument) (c Check, why string) {
	scale, text, why := scaleIn(text, scales)
	if why != "" {
		return c, why
	}
	c.Scale = scale.Name
	if day := checkDay.FindString(text); day != "" {
		c.Date, text = day, strings.Replace(text, day, "", 1)
	}
	numbers, kinds, unknown := understand(checkTokens(text))
	zero := kinds.in(0, "zero") || kinds.in(1, "zero") || kinds.in(2, "zero")
	var load, reading checkToken
	switch {
	case unknown != "":
		return c, "“" + unknown + "” cannot be read"
	case len(numbers) == 1 && zero:
		load, reading = checkToken{}, numbers[0]
	case len(numbers) != 2:
		return c, "it should have two masses, the load on the scale and the reading, or one with the word zero"
	case kinds.in(0, "reading") && kinds.in(1, "load") && !kinds.in(1, "reading", "sign"):
		load, reading = numbers[1], numbers[0]
	case kinds.in(1, "reading", "sign"):
		load, reading = numbers[0], numbers[1]
	default:
		return c, "it does not say which mass was on the scale and which was the reading"
	}
	for _, m := range []struct {
		from checkToken
		to   *float64
	}{{load, &c.Load}, {reading, &c.Reading}} {
		*m.to = m.from.value
		if m.from.unit != "" && m.from.unit != scale.Unit {
			f, ok := quantity.Factor(m.from.unit, scale.Unit)
			if !ok {
				return c, "a unit in it is not a unit of mass"
			}
			by, _ := f.Float64()
			*m.to = significant(*m.to*by, 12)
		}
	}
	if c.Load < 0 {
		return c, "a load cannot be negative"
	}
	return c, ""
}

// understand parts tokens into numbers and what is said around them, and gives the
// first word that is not known.
func understand(tokens []checkToken) (numbers []checkToken, kinds wording, unknown string) {
	kinds = wording{{}, {}, {}}
	for i := 0; i < len(tokens); {
		t := tokens[i]
		part := min(len(numbers), 2)
		switch {
		case t.number:
			numbers = append(numbers, t)
			i++
			continue
		case slices.Contains([]string{"=", ":", "->", "→"}, t.text):
			kinds[part]["sign"] = true
			i++
			continue
		}
		longest := 0
		for _, p := range checkPhrases() {
			if len(p.words) >= longest && startsWith(tokens[i:], p.words) {
				longest = len(p.words)
				kinds[part][p.kind] = true
			}
		}
		if longest == 0 {
			return nil, kinds, t.text
		}
		i += longest
	}
	return numbers, kinds, ""
}

// scaleIn finds the scale that a line names, and takes its name out: it may have a
// number. Where none is named it is the only one that weighs.
func scaleIn(text string, scales []Instrument) (scale *Instrument, rest, why string) {
	for i := range scales {
		if _, weighs := gramsOf(&scales[i]); !weighs {
			continue
		}
		at := regexp.MustCompile(`(?i)(?:^|[^\p{L}\d])(` + regexp.QuoteMeta(scales[i].Name) + `)(?:$|[^\p{L}\d])`).FindStringSubmatchIndex(text)
		if at != nil {
			return &scales[i], text[:at[2]] + " " + text[at[3]:], ""
		}
		if scale != nil {
			why = "it does not say which scale"
		}
		scale = &scales[i]
	}
	if scale == nil {
		why = "the survey's instruments name no scale"
	}
	return scale, text, why
}
