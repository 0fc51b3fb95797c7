package sheet

import (
	"bytes"
	"fmt"
	"path"
	"regexp"
	"strings"

	"spadefoot/pipeline/record"
)

// shape is what the beginning of a text says about the rest.
type shape struct {
	separator  string
	terminator byte    // '\n', or '\r' in files of the classic Mac
	width      int     // cells of most rows, 0 if unknown
	strict     bool    // the sample keeps the rules of RFC 4180 for quotation marks
	confidence float64 // in the separator
	named      bool    // the first line is "sep=;", which spreadsheet programs write
	blanks     bool    // runs of blanks separate; separator is ""
	gaps       []gap   // between columns of fixed width; separator is ""
	titles     int     // lines above the headings of a table without separators
	rowNames   bool    // the rows begin with a name that no heading is over
}

var separators = []string{",", "\t", ";", "|"}

// readShape judges a sample of decoded text. separator is Options.Separator.
func readShape(name string, sample []byte, whole bool, separator rune) shape {
	s := cellsOf(name, sample, whole, separator)
	s.rowNames = !s.named && s.namesRows(sample, whole)
	return s
}

// cellsOf tells how the cells of a sample are parted.
func cellsOf(name string, sample []byte, whole bool, separator rune) shape {
	s := shape{terminator: '\n'}
	if bytes.IndexByte(sample, '\n') < 0 && bytes.IndexByte(sample, '\r') >= 0 {
		s.terminator = '\r'
	}
	if !whole {
		sample = sample[:bytes.LastIndexByte(sample, s.terminator)+1]
	}
	first, rest, _ := bytes.Cut(sample, []byte{s.terminator})
	if mark := strings.TrimRight(string(first), "\r"); len(mark) == 5 && strings.EqualFold(mark[:4], "sep=") {
		s.named, s.separator, s.confidence = true, mark[4:], 1
		sample = rest
	}
	if separator != 0 {
		s.separator, s.confidence = string(separator), 1
	}
	if s.separator != "" {
		s.width, _, s.strict = modalWidth(sample, whole, s.terminator, s.separator)
		return s
	}
	s.guess(name, sample, whole)
	return s
}

// guess tries each separator. Tabs, semicolons and bars hardly ever stand the
// same number of times in every row by chance; commas do, as decimal commas.
// So a comma has to beat the best of the others clearly, or to part the headings, which
// hold no decimals, into more. Where quotation marks stand
// round whole cells with one separator and within cells with another, the other
// is none.
func (s *shape) guess(name string, sample []byte, whole bool) {
	share, width, strict := map[string]float64{}, map[string]int{}, map[string]bool{}
	best, quoted := separators[1], false
	for _, sep := range separators {
		width[sep], share[sep], strict[sep] = modalWidth(sample, whole, s.terminator, sep)
		if width[sep] < 2 {
			share[sep] = 0
		}
		quoted = quoted || strict[sep] && share[sep] >= 0.5
	}
	for _, sep := range separators {
		if quoted && !strict[sep] {
			share[sep] = 0
		}
		if sep != "," && share[sep]*spread(width[sep]) > share[best]*spread(width[best]) {
			best = sep
		}
	}
	s.separator = best
	other := share[","]
	if share[best] < 0.5 || share[","] > share[best]+0.1 || share[","] >= share[best] && width[","] > width[best] && s.headings(sample, ",") == width[","] {
		s.separator, other = ",", share[best]
	}
	s.width, s.strict = max(width[s.separator], 1), strict[s.separator]
	s.confidence = share[s.separator] * (1 - 0.5*min(other, 1))
	if known := share[s.separator] > 0; (!known || s.separator == ",") && s.byBlanks(sample, known) {
		s.separator = ""
		return
	}
	decimals := s.separator == "," && decimalCommas(sample, s.terminator)
	if share[s.separator] == 0 || decimals { // one column: the name decides, or what cuts no line in two
		s.separator, s.width, s.confidence = ",", 1, 0.5
		switch ext := strings.ToLower(path.Ext(name)); {
		case ext == ".csv" && !decimals:
		case ext == ".tsv", ext == ".tab":
			s.separator = "\t"
		case ext == ".psv":
			s.separator = "|"
		default:
			for _, sep := range separators {
				if !bytes.Contains(sample, []byte(sep)) {
					s.separator = sep
					break
				}
			}
		}
	}
}

// headings counts the cells of the first line that a separator parts.
func (s *shape) headings(sample []byte, sep string) int {
	first, _, _ := bytes.Cut(sample, []byte{s.terminator})
	cells, _ := lineWidth(bytes.TrimSuffix(first, []byte{'\r'}), sep)
	return cells
}

// decimalCommas reports whether lines are one column of numbers, some with decimal
// commas, under a heading without one.
func decimalCommas(sample []byte, terminator byte) bool {
	lines := 0
	for line := range bytes.SplitSeq(sample, []byte{terminator}) {
		if text := bytes.TrimSpace(line); len(text) > 0 {
			if comma := bytes.IndexByte(text, ',') >= 0; comma && (lines == 0 || !decimalComma.Match(text)) {
				return false
			}
			lines++
		}
	}
	return lines >= minBlankLines
}

var decimalComma = regexp.MustCompile(`^[-+]?\d+,\d+$`)

func spread(width int) float64 {
	if width < 2 {
		return 0
	}
	return 1 - 1/float64(width)
}

// modalWidth returns the commonest number of cells of the sample's rows that are
// not blank, and the share of these rows that have it. Ties go to the wider.
// Where the sample breaks the rules for quotation marks, or more rows have the
// same width if some of the marks are ditto marks, lines are taken one by one, so
// that an unclosed mark cannot spoil the count; the parts of cells that
// run over lines are few.
func modalWidth(sample []byte, whole bool, terminator byte, sep string) (width int, share float64, strict bool) {
	counts, dittos, strict := strictWidths(sample, whole, terminator, sep)
	if strict {
		width, share = commonest(counts)
		if !dittos {
			return width, share, true
		}
	}
	lines := map[int]int{}
	for line := range bytes.SplitSeq(sample, []byte{terminator}) {
		if n, ok := lineWidth(bytes.TrimSuffix(line, []byte{'\r'}), sep); ok {
			lines[n]++
		}
	}
	w, s := commonest(lines)
	if strict && s <= share {
		return width, share, true
	}
	return w, s, false
}

// commonest returns the number of cells that most rows have, and their share.
func commonest(counts map[int]int) (width int, share float64) {
	rows := 0
	for w, n := range counts {
		rows += n
		if n > counts[width] || n == counts[width] && w > width {
			width = w
		}
	}
	if rows == 0 {
		return 0, 0
	}
	return width, float64(counts[width]) / float64(rows)
}

// strictWidths counts rows by number of cells under the rules of RFC 4180. It
// gives up at a quotation mark that breaks them. A sample that is not whole may
// end within a cell.
func strictWidths(sample []byte, whole bool, terminator byte, sep string) (counts map[int]int, dittos, ok bool) {
	counts = map[int]int{}
	cells, blank := 1, true
	for i := 0; i < len(sample); {
		if sample[i] == '"' {
			n := quotedLength(sample[i:])
			if n == 0 {
				return counts, dittos, !whole
			}
			i, blank = i+n, false
			rest := sample[i:]
			dittos = dittos || betweenDittos(sample[i-n+1:i-1], sep)
			if len(rest) > 0 && rest[0] != terminator && rest[0] != '\r' && !bytes.HasPrefix(rest, []byte(sep)) {
				return counts, dittos, false
			}
		}
		for i < len(sample) && sample[i] != terminator && !bytes.HasPrefix(sample[i:], []byte(sep)) {
			if sample[i] == '"' {
				return counts, dittos, false
			}
			blank = blank && sample[i] <= ' '
			i++
		}
		if i < len(sample) && sample[i] != terminator {
			cells, i = cells+1, i+len(sep)
			continue
		}
		if !blank {
			counts[cells]++
		}
		cells, blank, i = 1, true, i+1
	}
	if !blank {
		counts[cells]++
	}
	return counts, dittos, true
}

// betweenDittos reports whether what is between two quotation marks begins
// and ends with a separator: the marks are ditto marks, each a cell by itself,
// and enclose nothing.
func betweenDittos(inside []byte, sep string) bool {
	return bytes.HasPrefix(inside, []byte(sep)) && bytes.HasSuffix(inside, []byte(sep))
}

// isDitto reports whether a quotation mark at the beginning of a cell is all of
// it, and means the value above.
func isDitto(rest []byte, sep string) bool {
	rest = bytes.TrimLeft(rest, " \r")
	return len(rest) == 0 || bytes.HasPrefix(rest, []byte(sep))
}

// quotedLength returns the length of a quoted cell, its marks included, or 0 if
// it is not closed.
func quotedLength(b []byte) int {
	for i := 1; i < len(b); i++ {
		if b[i] != '"' {
			continue
		}
		if i+1 == len(b) || b[i+1] != '"' {
			return i + 1
		}
		i++
	}
	return 0
}

// lineWidth counts the cells of a line. A line that is blank or leaves a
// quotation mark open does not count.
func lineWidth(line []byte, sep string) (cells int, ok bool) {
	cells = 1
	start, quoted := true, false
	for i := 0; i < len(line); i++ {
		switch {
		case line[i] == '"' && start && isDitto(line[i+1:], sep):
			start, ok = false, true
		case line[i] == '"' && (start || quoted):
			quoted, start, ok = !quoted, false, true
		case !quoted && bytes.HasPrefix(line[i:], []byte(sep)):
			cells++
			i += len(sep) - 1
			start = true
		case line[i] != ' ':
			ok = ok || line[i] != '\t'
			start = false
		}
	}
	return cells, ok && !quoted
}

// report notes a separator that is not the one that the name promises.
func (s *shape) report(name string) []record.Finding {
	ext := strings.ToLower(path.Ext(name))
	usual := s.separator == "," && ext == ".csv" || s.separator == "\t" && (ext == ".tsv" || ext == ".tab") || s.separator == "|" && ext == ".psv"
	var out []record.Finding
	if s.rowNames {
		out = append(out, record.Finding{Rule: ruleRowNames, Level: record.Note, At: record.Address{File: name, Row: 1},
			Reason: "there is one heading fewer than columns; the first column was read as row names, and each heading as that of the column to its right"})
	}
	if s.named || usual && s.confidence >= 0.5 {
		return out
	}
	reason := fmt.Sprintf("the cells seem %s, which gives %d columns", s.parted(), s.width)
	if s.width == 1 {
		reason = "the lines seem to be one column"
	}
	return append(out, record.Finding{Rule: ruleSeparator, Level: record.Note, At: record.Address{File: name}, Value: s.separator, Reason: reason,
		Figures: []record.Figure{{Name: "confidence", Value: rounded(s.confidence)}}})
}

// parted says how cells are told apart.
func (s *shape) parted() string {
	switch {
	case s.blanks:
		return "to be separated by spaces"
	case s.gaps != nil:
		return "to be in columns of fixed width"
	}
	return "to be separated by " + separatorName(s.separator)
}

func separatorName(s string) string {
	switch s {
	case ",":
		return "commas"
	case "\t":
		return "tabs"
	case ";":
		return "semicolons"
	case "|":
		return "bars"
	}
	return fmt.Sprintf("%q", s)
}
