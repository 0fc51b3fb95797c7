package report

import (
	"strconv"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// mostInCell is how much a cell of findings.csv holds. Spreadsheet programs
// take 32,767 characters (ECMA-376 workbooks, common practice) and cut what is
// longer without a word.
const mostInCell = 32_000

// fitting cuts a text that is too long for a cell and says so.
func fitting(text string) string {
	if len(text) <= mostInCell {
		return text
	}
	end := mostInCell
	for end > 0 && !utf8.RuneStart(text[end]) {
		end--
	}
	return text[:end] + " … (cut here; findings.json has the whole text)"
}

// appendAddresses lists cells as record.Address writes them, neighbours of one
// column or row as a range: "frogs.csv, D2:D50001". What does not fit into a
// cell is counted.
func appendAddresses(b []byte, as []record.Address) []byte {
	begun := len(b)
	for i := 0; i < len(as); {
		n := neighbours(as[i:])
		before := len(b)
		if i > 0 {
			b = append(b, "; "...)
		}
		b = appendPlace(b, as[i])
		if n > 1 {
			b = appendCell(append(b, ':'), as[i+n-1])
		}
		if len(b)-begun > mostInCell {
			b = append(append(b[:before], "; and "...), strconv.Itoa(len(as)-i)...)
			return append(b, " more; findings.json has them all"...)
		}
		i += n
	}
	return b
}

// neighbours is how many of the cells, from the first on, stand below or beside
// each other without a gap.
func neighbours(as []record.Address) int {
	if as[0].Row == 0 || as[0].Column == 0 {
		return 1
	}
	down, right := 1, 1
	for next := as[0]; down < len(as); down++ {
		if next.Row++; as[down] != next {
			break
		}
	}
	for next := as[0]; right < len(as); right++ {
		if next.Column++; as[right] != next {
			break
		}
	}
	return max(down, right)
}

func appendPlace(b []byte, a record.Address) []byte {
	b = append(b, a.File...)
	if a.Sheet != "" {
		b = append(append(b, ", tab "...), a.Sheet...)
	}
	switch {
	case a.Row > 0 && a.Column > 0:
		b = appendCell(append(b, ", "...), a)
	case a.Row > 0:
		b = strconv.AppendInt(append(b, ", row "...), int64(a.Row), 10)
	case a.Column > 0:
		b = append(append(b, ", column "...), letters(a.Column)...)
	}
	return b
}

func appendCell(b []byte, a record.Address) []byte {
	return strconv.AppendInt(append(b, letters(a.Column)...), int64(a.Row), 10)
}
