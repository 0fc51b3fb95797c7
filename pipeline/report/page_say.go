package report

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// ReasonParts is a reason taken apart for reading.
type ReasonParts struct {
	Lead    string // what is doubtful, as one sentence
	Rest    string // what else was said, in quieter type
	Figures string // the numbers behind the lead, on demand
}

// SplitReason takes the reason of a finding apart. The first sentence leads; where it has a colon and
// the finding has figures, what follows the colon is the figures.
func SplitReason(f record.Finding) ReasonParts {
	parts := sentences(f.Reason)
	if len(parts) == 0 {
		return ReasonParts{}
	}
	s := ReasonParts{Lead: parts[0], Rest: strings.Join(capitals(parts[1:]), " ")}
	if at := colon(s.Lead); at > 0 && len(f.Figures) > 0 {
		s.Lead, s.Figures = s.Lead[:at]+".", record.Capital(strings.TrimSpace(s.Lead[at+1:]))
	}
	s.Lead = record.Capital(s.Lead)
	return s
}

// sentences parts a text at full stops that end a sentence; each part ends in
// one.
func sentences(text string) []string {
	var out []string
	text = strings.TrimSpace(text)
	from := 0
	for i := 0; i+1 < len(text); i++ {
		if text[i] == '.' && text[i+1] == ' ' && !abbreviated(text[from:i]) && outside(text[from:i]) {
			out = append(out, text[from:i+1])
			from = i + 2
		}
	}
	if rest := strings.TrimSpace(text[from:]); rest != "" {
		if !strings.ContainsRune(".!?", rune(rest[len(rest)-1])) {
			rest += "."
		}
		out = append(out, rest)
	}
	return out
}

// abbreviated reports whether the full stop after text belongs to its last
// word: an initial, or a short form of the trade. A small letter after a number is
// a unit.
func abbreviated(text string) bool {
	at := strings.LastIndexAny(text, " (\"") + 1
	word := text[at:]
	if utf8.RuneCountInString(word) == 1 {
		r, _ := utf8.DecodeRuneInString(word)
		before, _ := utf8.DecodeLastRuneInString(strings.TrimRight(text[:at], " "))
		return unicode.IsUpper(r) || unicode.IsLetter(r) && !unicode.IsDigit(before)
	}
	switch word {
	case "sp", "spp", "cf", "aff", "subsp", "var", "e.g", "i.e", "no", "vs", "approx":
		return true
	}
	return false
}

// outside reports whether the end of text is outside quotation marks and
// brackets.
func outside(text string) bool {
	return strings.Count(text, `"`)%2 == 0 && strings.Count(text, "(") <= strings.Count(text, ")")
}

// colon finds the first colon that parts a sentence, -1 for none.
func colon(text string) int {
	for i := 0; i+1 < len(text); i++ {
		if text[i] == ':' && text[i+1] == ' ' && outside(text[:i]) {
			return i
		}
	}
	return -1
}

func capitals(parts []string) []string {
	out := make([]string, len(parts))
	for i, s := range parts {
		out[i] = record.Capital(s)
	}
	return out
}

// around keeps of a row what stands near the doubtful cells: the first two
// cells, which mostly name the capture, the mark, and those nearest to the doubt.
func around(row []Neighbour) []Neighbour {
	if len(row) <= maxNeighbours || !slices.ContainsFunc(row, func(n Neighbour) bool { return n.Doubtful }) {
		return row
	}
	distance := make([]int, len(row))
	for i := range row {
		distance[i] = len(row)
		for j := range row {
			if row[j].Doubtful {
				distance[i] = min(distance[i], max(i-j, j-i))
			}
		}
		if i < 2 || row[i].Mark {
			distance[i] = 0
		}
	}
	for most := 0; ; most++ {
		n := 0
		for _, d := range distance {
			n += truth(d <= most+1)
		}
		if n > maxNeighbours || most > len(row) {
			var out []Neighbour
			for i, d := range distance {
				if d <= most {
					out = append(out, row[i])
				}
			}
			return out
		}
	}
}

// What the template asks of an entry.

// Lead is the finding that says most.
func (e *entry) Lead() *record.Finding { return e.Findings[0] }

// Said is the leading finding's reason.
func (e *entry) Said() ReasonParts { return e.said }

// Others are the findings of the same cause.
func (e *entry) Others() []*record.Finding { return e.Findings[1:] }

// Word is "Error" or "Warning".
func (e *entry) Word() string { return record.Capital(e.Findings[0].Level.String()) }

// Where is the place of the leading finding: its cell, or the first of its runs
// of cells.
func (e *entry) Where() string {
	f := e.Findings[0]
	switch n := len(f.Runs); n {
	case 0:
		return f.At.String()
	case 1:
		return f.Runs[0].String()
	default:
		return f.Runs[0].String() + " and further down"
	}
}

// Also lists the other cells, the first few of them.
func (e *entry) Also() []string {
	var out []string
	for _, a := range e.cells[1:] {
		if len(out) < maxCells {
			out = append(out, a.String())
		}
	}
	return out
}

// AlsoHidden is the number of other cells that are not named.
func (e *entry) AlsoHidden() int { return max(0, len(e.cells)-1-maxCells) + e.unlisted }
