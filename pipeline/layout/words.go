package layout

import (
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"spadefoot/mappings"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

type wordRow struct {
	Kind     string `csv:"kind"`
	Language string `csv:"language"`
	Words    string `csv:"words"`
}

// wordList holds the words of mappings/layout_words.csv by kind.
type wordList struct {
	total   map[string]bool // folded words that sum up rows and mean nothing else
	grand   map[string]bool // folded words at both ends of a table of counts
	summary map[string]bool // folded words that sum up rows or stand for something else
	legend  map[string]bool // folded names of tabs
	section map[string]bool // folded first words of a line that names a place or a visit
	page    map[string]bool // folded words before the number of a page
	ditto   map[string]bool // as written
	carried map[string]bool // terms that are the same for many captures, without those of
	taxon   map[string]bool // what names the animal
	animal  map[string]bool // terms that tell one animal or capture from others
	longest int             // bytes of the longest of ditto
}

// words reads the list once. The file is embedded and a test reads it whole.
var words = sync.OnceValue(func() *wordList {
	out := &wordList{total: map[string]bool{}, grand: map[string]bool{}, summary: map[string]bool{}, legend: map[string]bool{},
		section: map[string]bool{}, page: map[string]bool{}, ditto: map[string]bool{}, taxon: map[string]bool{}, carried: map[string]bool{}, animal: map[string]bool{}}
	rows, err := mappings.Table[wordRow]("layout_words.csv")
	if err != nil {
		return out
	}
	kinds := out.kinds()
	for _, r := range rows {
		for _, w := range strings.Split(r.Words, "|") {
			if r.Language != "" {
				w = fold(w)
			}
			if set := kinds[r.Kind]; set != nil {
				set[w] = true
			}
			if r.Kind == "ditto" {
				out.longest = max(out.longest, len(w))
			}
		}
	}
	return out
})

func (l *wordList) kinds() map[string]map[string]bool {
	return map[string]map[string]bool{"total": l.total, "grand": l.grand, "summary": l.summary, "legend": l.legend,
		"section": l.section, "page": l.page, "ditto": l.ditto, "carried": l.carried, "taxon": l.taxon, "animal": l.animal}
}

func isLegend(tab string) bool { return words().legend[fold(tab)] }

// isGrand knows "Grand Total".
func isGrand(text string) bool { return words().grand[fold(text)] }

// beginsSection knows "Pond B", "Plot 3", "Charca del Norte".
func beginsSection(text string) bool {
	first, rest, _ := strings.Cut(fold(text), " ")
	return rest != "" && words().section[first]
}

const longestSummary = 25

// isSummaryWord knows "mean", "Total:", "Mean ± SD", "mean (n=12)", "Run totals". sure says
// that the word means nothing else.
func isSummaryWord(text string) (is, sure bool) {
	if len(text) > 2*longestSummary {
		return false, false
	}
	k := fold(text)
	w := words()
	if len(k) == 3 && k[1] == ' ' && k[2] >= 'a' {
		k = k[:1] + k[2:] // "± D.E."
	}
	if w.total[k] || w.summary[k] {
		return true, w.total[k]
	}
	first, rest, more := strings.Cut(k, " ")
	if _, err := strconv.Atoi(rest); err == nil && w.summary[first] {
		return true, false // "n = 5"
	}
	if !more || utf8.RuneCountInString(k) > longestSummary {
		return false, false
	}
	if len(first) > 1 && (w.total[first] || w.summary[first]) {
		return true, w.total[first]
	}
	if second, _, _ := strings.Cut(rest, " "); w.total[first+" "+second] {
		return true, true // "Sub-total 20/7"
	}
	return w.total[k[strings.LastIndex(k, " ")+1:]], false // "run totals"
}

const (
	longestDitto = 8
	dittoMarks   = "\"“”„‟″〃«»"
	dittoPairs   = "',´`’‘′"
)

// dittoStarts are the first bytes of the words that mean "as above", so that
// most cells need no more than one look.
var dittoStarts = sync.OnceValue(func() *[256]bool {
	var out [256]bool
	for w := range words().ditto {
		out[w[0]] = true
		out[strings.ToUpper(w)[0]] = true
	}
	return &out
})

// isDitto knows the marks and words that mean "as above".
func isDitto(c *record.Cell) bool {
	if c.Kind != record.Text && c.Kind != record.Blank {
		return false
	}
	s := c.Text
	if len(s) == 0 || len(s) > 4*longestDitto {
		return false
	}
	s = strings.TrimSpace(s)
	if s == "" || utf8.RuneCountInString(s) > longestDitto {
		return false
	}
	if w := words(); w.ditto[s] || len(s) <= w.longest && s != strings.ToUpper(s) && w.ditto[strings.ToLower(s)] {
		return true
	}
	if strings.Trim(s, dittoMarks+dittoPairs+"-–—~ ") != "" {
		return false
	}
	if strings.ContainsAny(s, dittoMarks) {
		return true
	}
	for _, p := range dittoPairs {
		if strings.Count(s, string(p)) >= 2 {
			return true
		}
	}
	return false
}

// Prepare reads the embedded words that Find asks for, so that they are at hand
// when the first sheet is.
func Prepare() { headingWords() }

// headingWords are the folded headings that are known without a mapping, with
// the terms that they stand for.
var headingWords = sync.OnceValue(func() map[string][]string {
	out := map[string][]string{}
	for _, h := range vocabulary.Headings() {
		k := fold(h.Heading)
		if utf8.RuneCountInString(k) < 2 && k != "#" {
			continue // a letter may stand for anything
		}
		if unit, ok := quantity.FindUnit(k); ok && (quantity.Dimension(unit) == "length" || quantity.Dimension(unit) == "mass") {
			continue // is below headings more often
		}
		term := ""
		if h.Role == vocabulary.HeadingTerm {
			term = h.Value
		}
		out[k] = append(out[k], term)
	}
	return out
})

const longestHeading = 60

// usual reports whether a text is what often is over a column.
func usual(text string) bool {
	if len(text) > longestHeading {
		return false
	}
	if _, ok := headingWords()[fold(text)]; ok {
		return true
	}
	if _, rest, ok := quantity.HeadingUnit(text); ok {
		_, ok = headingWords()[fold(rest)]
		return ok
	}
	return false
}

// sameForMany reports whether what a heading usually stands for is the same
// for many captures: the date, the place, the people, the species.
func sameForMany(heading string) bool { return standsFor(heading, words().carried, words().taxon) }

// namesAnimals reports whether a heading usually stands for the name of a taxon.
func namesAnimals(heading string) bool { return standsFor(heading, words().taxon) }

// tellsAnimals reports whether a heading usually stands for what tells animals
// apart: a number, a mark.
func tellsAnimals(heading string) bool { return standsFor(heading, words().animal) }

func standsFor(heading string, some ...map[string]bool) bool {
	terms := headingWords()[fold(heading)]
	for _, t := range terms {
		if !slices.ContainsFunc(some, func(set map[string]bool) bool { return set[t] }) {
			return false
		}
	}
	return len(terms) > 0
}
