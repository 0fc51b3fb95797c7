package sheet

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// Text without a separator may be a table all the same: cells parted by runs of
// blanks, those with blanks inside in quotation marks, or cells that are under
// each other in columns of fixed width:
//
//	date       loc  sp    SVL   notes
//	09-Sep-12  B1   PLCI  32.7  under a log
//	20-Apr-10       DEFU  33.1
const (
	minBlankWidth = 3   // columns; two words beside each other may be a name
	minBlankLines = 4   // with the headings
	blankShare    = 0.9 // of the lines that have to agree
	maxTitles     = 5   // lines above the headings
)

// gap is a run of places that are blank in every line; to is the place behind
// the last. Places count characters.
type gap struct{ from, to int }

// byBlanks looks for a table without separators in a sample, and reports
// whether it found one. If commas may part the cells as well, they have to be decimal
// commas or to stand within cells, and none of them in the headings.
func (s *shape) byBlanks(sample []byte, commas bool) bool {
	var lines []string
	for line := range bytes.SplitSeq(sample, []byte{s.terminator}) {
		if text := strings.TrimRight(string(line), "\r \t"); text != "" {
			lines = append(lines, text)
		}
	}
	last := min(maxTitles, len(lines)-minBlankLines)
	if commas {
		if slices.ContainsFunc(lines[:min(len(lines), maxTitles+2)], partingComma.MatchString) {
			return false
		}
		last = min(last, slices.IndexFunc(lines, func(line string) bool { return strings.Contains(line, ",") })-1)
	}
	isTable := func(lines []string, fields func(string) []string) bool {
		return someNumbers(lines, fields) && !(commas && endInCommas(lines, fields))
	}
	for k := 0; k <= last; k++ {
		width, share := blankWidth(lines[k:])
		if heads := len(blankFields(lines[k])); share < 1 && heads >= minBlankWidth { // a blank cell, or one with a blank within
			if gaps := gapsOf(lines[k:]); len(gaps) == heads-1 && isTable(lines[k:], func(line string) []string { return alignedFields(line, gaps) }) {
				s.gaps, s.titles, s.width, s.strict, s.confidence = gaps, k, heads, true, blankShare
				return true
			}
		}
		if width >= minBlankWidth && share >= blankShare && isTable(lines[k:], blankFields) && !headsAligned(lines[k:], width) {
			s.blanks, s.titles, s.width, s.strict, s.confidence = true, k, width, true, share
			return true
		}
	}
	best := 0
	for k := 0; k <= last; k++ {
		gaps := gapsOf(lines[k:])
		if len(gaps) > best && len(gaps)+1 >= minBlankWidth && isTable(lines[k:], func(line string) []string { return alignedFields(line, gaps) }) {
			best, s.gaps, s.titles = len(gaps), gaps, k
		}
	}
	if s.gaps == nil {
		return false
	}
	s.width, s.strict, s.confidence = best+1, true, blankShare
	return true
}

// partingComma matches a comma that is neither between digits nor before a blank.
var partingComma = regexp.MustCompile(`,[^ \d]|\D,\d|,$`)

// endInCommas reports whether most lines have a cell that ends in a comma, so that
// commas part the cells and the blanks are only behind them.
func endInCommas(lines []string, fields func(string) []string) bool {
	n := 0
	for _, line := range lines {
		if slices.ContainsFunc(fields(line), func(cell string) bool { return strings.HasSuffix(cell, ",") }) {
			n++
		}
	}
	return 2*n > len(lines)
}

// headsAligned reports whether lines have a cell more than headings because a cell has
// a blank within: each heading is over a column of fixed width.
//
//	Ring  Species          Wing
//	AB1   Parus major      76
//	AB2   Parus ater       61
func headsAligned(lines []string, width int) bool {
	head := len(blankFields(lines[0]))
	return head == width-1 && len(gapsOf(lines)) == head-1
}

// blankWidth returns the commonest number of cells of the lines, which the first
// of them has or falls short of by one, and the share of the lines that have it.
func blankWidth(lines []string) (width int, share float64) {
	counts := map[int]int{}
	for _, line := range lines[1:] {
		counts[len(blankFields(line))]++
	}
	for w, n := range counts {
		if n > counts[width] || n == counts[width] && w > width {
			width = w
		}
	}
	if first := len(blankFields(lines[0])); first != width && first != width-1 {
		return 0, 0
	}
	return width, float64(counts[width]) / float64(len(lines)-1)
}

// blankFields cuts a line at runs of blanks outside quotation marks.
func blankFields(line string) []string {
	var out []string
	for {
		line = strings.TrimLeft(line, " \t")
		if line == "" {
			return out
		}
		if line[0] == '"' {
			if n := quotedLength([]byte(line)); n > 0 && (n == len(line) || line[n] == ' ' || line[n] == '\t') {
				out = append(out, strings.ReplaceAll(line[1:n-1], `""`, `"`))
				line = line[n:]
				continue
			}
		}
		end := strings.IndexAny(line, " \t")
		if end < 0 {
			end = len(line)
		}
		out = append(out, line[:end])
		line = line[end:]
	}
}

// someNumbers reports whether numbers are in one of the columns, under what
// is not a number.
func someNumbers(lines []string, fields func(string) []string) bool {
	head := fields(lines[0])
	counts := map[int]int{}
	for _, line := range lines[1:] {
		cells := fields(line)
		behind := 0
		if len(cells) == len(head)+1 {
			behind = 1
		}
		for i, c := range cells {
			if isNumeral(c) && i >= behind && i-behind < len(head) && !isNumeral(head[i-behind]) {
				counts[i]++
			}
		}
	}
	for _, n := range counts {
		if 2*n > len(lines)-1 {
			return true
		}
	}
	return false
}

func isNumeral(text string) bool {
	return text != "" && strings.Trim(text, "0123456789.,-+") == "" && strings.ContainsAny(text, "0123456789")
}

// gapsOf returns the gaps between the columns of lines, the first of which has
// the headings: places that are blank in nearly every line, with words of the
// headings on both sides.
func gapsOf(lines []string) []gap {
	var filled []int // lines with something at each place
	for i, line := range lines {
		if strings.ContainsRune(line, '\t') {
			return nil
		}
		if i > 0 && !strings.Contains(strings.TrimLeft(line, " "), "  ") {
			continue // a sentence, or a row whose cells are all full, tells of no gap
		}
		for i, r := range []rune(line) {
			if i == len(filled) {
				filled = append(filled, 0)
			}
			if r != ' ' {
				filled[i]++
			}
		}
	}
	head := []rune(lines[0])
	most := len(lines) / 20
	var out []gap
	from := -1
	for i, n := range filled {
		switch {
		case n <= most && (i >= len(head) || head[i] == ' '):
			if from < 0 {
				from = i
			}
		case from > 0:
			out = append(out, gap{from, i})
			from = -1
		default:
			from = -1
		}
	}
	return headed(out, head, filled)
}

// headed leaves out the gaps behind which no heading is before the next one,
// as between the words of a name, and those between two words of a heading where
// nothing stands under the second: "SVL mm".
func headed(gaps []gap, head []rune, filled []int) []gap {
	var out []gap
	for i, g := range gaps {
		end, below := len(head), filled[g.to:]
		if i+1 < len(gaps) {
			end, below = min(end, gaps[i+1].from), filled[g.to:gaps[i+1].from]
		}
		if g.to >= end || strings.TrimSpace(string(head[g.to:end])) == "" {
			continue
		}
		word := g.to > 1 && head[g.to-1] == ' ' && head[g.to-2] != ' '
		if word && slices.Max(below) == 1 {
			continue
		}
		out = append(out, g)
	}
	return out
}

// alignedFields cuts a line at its gaps. A line that has no blank in one of them
// is not a row of the table; it is one cell.
func alignedFields(line string, gaps []gap) []string {
	if line = strings.TrimRight(line, " "); line == "" {
		return nil
	}
	var out []string
	place, rest := 0, line // characters before what is still to be cut
	for _, g := range gaps {
		cut, end := -1, place
		for i, r := range rest {
			if end >= g.to {
				break
			}
			if end >= g.from && r == ' ' {
				cut = i
				break
			}
			end++
		}
		switch {
		case cut >= 0:
		case end < g.to: // the line ends before the gap does
			cut = len(rest)
		default:
			return []string{strings.TrimSpace(line)}
		}
		out = append(out, strings.TrimSpace(rest[:cut]))
		place += utf8.RuneCountInString(rest[:cut])
		rest = rest[cut:]
	}
	return append(out, strings.TrimSpace(rest))
}
