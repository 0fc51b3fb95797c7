package pipeline

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/weigh"
)

// maxKnownHeadings is how many texts are remembered that may head a column.
const maxKnownHeadings = 10_000

// headsTable begins a table of checks where cells side by side are its headings, and
// reports whether nothing else stands in the row.
func (l *checkLines) headsTable(cells []record.Cell) bool {
	for from := 0; from < len(cells); {
		to := from
		for to < len(cells) && !cells[to].Empty() {
			to++
		}
		if run := textsOf(cells[from:to]); len(run) > 1 && l.mayHead(run) {
			if columns, is := weigh.HeadsChecks(run); is {
				l.table = &checkTable{from: from, to: to, columns: columns}
				return !slices.ContainsFunc(cells[:from], filled) && !slices.ContainsFunc(cells[to:], filled)
			}
		}
		from = to + 1
	}
	return false
}

func filled(c record.Cell) bool { return !c.Empty() }

func textsOf(cells []record.Cell) []string {
	out := make([]string, len(cells))
	for i := range cells {
		out[i] = strings.TrimSpace(cells[i].Text)
	}
	return out
}

// mayHead reports whether two of the texts at least head columns of checks.
func (l *checkLines) mayHead(texts []string) bool {
	n := 0
	for _, text := range texts {
		is, there := l.known[text]
		if !there {
			is = weigh.HeadsColumn(text)
			if len(l.known) < maxKnownHeadings {
				l.known[strings.Clone(text)] = is
			}
		}
		if is {
			n++
		}
	}
	return n > 1
}

// inTable reads a row of the table of checks, and reports whether nothing else stands
// in it. A row that is blank there ends the table.
func (l *checkLines) inTable(cells []record.Cell) bool {
	t := l.table
	if t == nil {
		return false
	}
	from, to := min(t.from, len(cells)), min(t.to, len(cells))
	own := cells[from:to]
	first := slices.IndexFunc(own, filled)
	if first < 0 {
		l.table = nil
		return false
	}
	texts := textsOf(own)
	at := record.Address{File: l.file, Sheet: l.sheet, Row: own[first].Row, Column: own[first].Column}
	l.readCheck(at, texts)
	return !slices.ContainsFunc(cells[:from], filled) && !slices.ContainsFunc(cells[to:], filled)
}

// readCheck reads the checks of one row of the table. A blank day is that of the row
// above.
func (l *checkLines) readCheck(at record.Address, texts []string) {
	t, all := l.table, strings.Join(texts, " ")
	found, why := t.columns.Read(texts, l.scales)
	if why != "" {
		l.to.refuse(at, all, why)
		return
	}
	if d := t.columns.Date; d >= 0 && d < len(texts) && texts[d] != "" {
		if t.day = dayOf(texts[d]); t.day == "" && len(found) > 0 {
			l.to.refuse(at, all, "give the day of the check as YYYY-MM-DD")
			return
		}
	}
	for i := range found {
		found[i].Date = t.day
	}
	l.take(at, all, found)
}
