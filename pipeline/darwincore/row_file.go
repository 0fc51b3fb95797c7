package darwincore

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/record/lines"
)

// rowFile is one file of rows being written. Its columns have to be written at
// the head of the file before it is known which of them hold something. They are
// taken from what was gathered beforehand, or else from the first part of the
// captures. A column that comes up later is added behind the others. Where the
// columns turn out to be others than those that hold something, in order, the
// file is written once more at the end.
type rowFile struct {
	name, rowType string
	terms         []string     // all that may head a column, in the order in which they are published
	fixed         map[int]same // texts of columns that are left out where every row says them
	columns       []int        // as written, by terms; nil before the first row
	known, used   marks
	rows          int
	ragged        bool // rows that were written lack columns that came up later
	keeps         bool // the columns stay, whether they hold something or not
	out           *packing
}

// begin sets the columns, before the first row.
func (l *rowFile) begin(columns marks) {
	l.columns, l.known = columns.numbers(), columns
}

// widen adds columns behind the others.
func (l *rowFile) widen(columns *marks) {
	for _, i := range columns.numbers() {
		if !l.known.has(i) {
			l.known.add(i)
			l.columns = append(l.columns, i)
		}
	}
	if l.out != nil {
		l.ragged = true
		l.out.unpack()
	}
}

// write appends rows as CSV.
func (l *rowFile) write(a *Archive, text []byte, rows int) error {
	if rows == 0 {
		return nil
	}
	if err := l.open(a); err != nil {
		return err
	}
	l.rows += rows
	_, err := l.out.Write(text)
	return err
}

// open makes the file with its header, unless it is there.
func (l *rowFile) open(a *Archive) (err error) {
	if l.out != nil {
		return nil
	}
	if err = os.MkdirAll(a.folder(), 0o755); err != nil {
		return err
	}
	if l.out, err = newPacking(a.deflater, l.path(a), a.dir); err == nil {
		_, err = l.out.Write(l.header())
	}
	return err
}

func (l *rowFile) path(a *Archive) string { return filepath.Join(a.folder(), l.name) }

func (l *rowFile) header() []byte { return lines.AppendRow(nil, l.names()) }

// close finishes the file, with the columns that hold something in the order
// in which they are published.
func (l *rowFile) close(a *Archive) error {
	if l.rows == 0 {
		l.begin(marks{1}) // the identifier of the rows that there are not
		l.used = l.known
	}
	if err := l.open(a); err != nil {
		return err
	}
	if l.keeps && !l.inOrder() {
		return errBeyond
	}
	if l.keeps || l.used == l.known && l.inOrder() {
		return l.out.finish()
	}
	l.out.unpack()
	if err := l.out.finish(); err != nil {
		return err
	}
	return l.rearrange(a, l.used.numbers())
}

// inOrder reports whether every row has all columns in order.
func (l *rowFile) inOrder() bool { return !l.ragged && slices.IsSorted(l.columns) }

// rearrange writes the file once more with other columns.
func (l *rowFile) rearrange(a *Archive, final []int) (err error) {
	first := l.path(a) + ".tmp"
	if err := os.Rename(l.path(a), first); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.Remove(first)) }()
	in, err := os.Open(first)
	if err != nil {
		return err
	}
	defer in.Close()
	if l.out, err = newPacking(a.deflater, l.path(a), a.dir); err != nil {
		return err
	}
	from := make([]int, len(final))
	for i, c := range final {
		from[i] = slices.Index(l.columns, c)
	}
	l.columns = final
	if _, err := l.out.Write(l.header()); err != nil {
		return err
	}
	missing := make([][]byte, len(final))
	for i, c := range final {
		missing[i] = l.fixed[c].csv
	}
	if err := rearrangeCSV(l.out, in, from, missing); err != nil {
		return err
	}
	return l.out.finish()
}

// names are the columns as they are written.
func (l *rowFile) names() []string {
	out := make([]string, len(l.columns))
	for i, c := range l.columns {
		out[i] = l.terms[c]
	}
	return out
}

// part describes the file as it is by now.
func (l *rowFile) part() part {
	p := part{names: []string{l.name}, rowType: l.rowType, columns: l.names()}
	for _, slot := range slices.Sorted(maps.Keys(l.fixed)) {
		if !slices.Contains(l.columns, slot) {
			p.fixed = append(p.fixed, Field{l.terms[slot], l.fixed[slot].text})
		}
	}
	return p
}

// drop releases the file, and removes it where it did not get finished.
func (l *rowFile) drop(a *Archive, finished bool) {
	if l.out == nil {
		return
	}
	l.out.drop()
	if !finished {
		os.Remove(l.path(a))
	}
	l.out = nil
}

// errBeyond says that rows have columns that were not gathered before.
var errBeyond = errors.New("a shard has columns that were not gathered before it was written")
