package layout

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// dittoCount is what the ditto marks of one column come to.
type dittoCount struct {
	read, alone      int
	blanks           int         // blanks under marks
	at               record.Cell // the first that was read
	unread           record.Cell // the first that nothing is above
	also, alsoUnread []record.Address
}

const maxAlso = 100 // addresses named beside the first of a finding

// ditto replaces the ditto marks of the last row by the text above: the next
// value up in the column. So is a blank under such a mark, where the column is
// one whose values are the same for many captures: who has begun to repeat a
// date leaves out the marks in the end. The cell keeps its own place and is
// marked as carried; the cells of the sheet stay as they are.
func (b *body) ditto() {
	rows := b.table.Rows
	row := &rows[len(rows)-1]
	own := false
	if b.under == nil {
		b.under = make([]bool, len(row.Cells))
	}
	for k := range row.Cells {
		c := row.Cells[k]
		marked := isDitto(&c)
		if !marked && !(c.Empty() && b.underDitto(k)) {
			b.under[k] = false
			continue
		}
		if b.dittos == nil {
			b.dittos = map[int]*dittoCount{}
		}
		d := b.dittos[k]
		if d == nil {
			d = &dittoCount{}
			b.dittos[k] = d
		}
		var above record.Cell
		if b.above != nil {
			above = b.above[k]
		}
		if above.Empty() || isDitto(&above) {
			if d.alone++; d.alone == 1 {
				d.unread = c
			} else if len(d.alsoUnread) < maxAlso {
				d.alsoUnread = append(d.alsoUnread, b.f.at(&c))
			}
			continue
		}
		b.under[k] = true
		if !marked {
			d.blanks++
		} else if d.read++; d.read == 1 {
			d.at = c
		} else if len(d.also) < maxAlso {
			d.also = append(d.also, b.f.at(&c))
		}
		if !own {
			row.Cells, own = slices.Clone(row.Cells), true
		}
		row.Cells[k].Carry(above)
	}
}

// carry reports the ditto marks, gives merged cells to all rows that they cover,
// and fills blanks from above where survey.yaml says so or the column shows it.
func (b *body) carry() {
	b.spread()
	for k := range b.table.Columns {
		b.reportDittos(k)
	}
	if b.f.o.Plain && len(b.f.o.CarryDown) == 0 {
		return
	}
	var outer []int
	for k := range b.table.Columns {
		heading := b.table.Columns[k].Heading
		stated := slices.ContainsFunc(b.f.o.CarryDown, func(h string) bool { return fold(h) == fold(heading) })
		switch {
		case stated:
			b.table.CarryDown(k)
		case b.f.o.Plain, b.f.o.KeepBlank != nil && b.f.o.KeepBlank(heading):
			continue
		case b.showsCarry(k, outer):
			first := b.table.Rows[0].Cells[k]
			n := b.table.CarryDown(k)
			b.noteCarried(k, first, n)
		default:
			continue
		}
		outer = append(outer, k)
	}
}

func (b *body) noteCarried(k int, first record.Cell, n int) {
	b.f.note("blank-as-above", b.f.at(&first), first.Text, "under %q a value is written only where it changes; %s were filled from above",
		b.table.Columns[k].Heading, counted(n, "blank cell"))
}

func (b *body) reportDittos(k int) {
	d := b.dittos[k]
	if d == nil {
		return
	}
	heading := b.table.Columns[k].Heading
	if d.read > 0 {
		b.f.find(record.Finding{Rule: "ditto-read", Level: record.Note, At: b.f.at(&d.at), Also: d.also, Field: heading, Value: d.at.Text,
			Reason: "under \"" + heading + "\" " + counted(d.read, "ditto mark") + wasOrWere(d.read) + " read as the value above" + alsoBlanks(d.blanks)})
	}
	if d.alone > 0 {
		b.f.find(record.Finding{Rule: "ditto-unread", Level: record.Warning, At: b.f.at(&d.unread), Also: d.alsoUnread, Field: heading, Value: d.unread.Text,
			Reason: "the mark means the value above, but there is none"})
	}
}

// underDitto reports whether a blank of column k in the last row is under a
// ditto mark and means the same.
func (b *body) underDitto(k int) bool {
	if !b.under[k] {
		return false
	}
	heading := b.table.Columns[k].Heading
	return (b.f.o.KeepBlank == nil || !b.f.o.KeepBlank(heading)) && (b.sameForMany(k) && !namesAnimals(b.heading(k)) || isDay(&b.above[k]))
}

func alsoBlanks(n int) string {
	if n == 0 {
		return ""
	}
	return ", and so" + wasOrWere(n) + " " + counted(n, "blank") + " under marks"
}

const fewestCarried = 4 // rows from which a column can show that it is carried down

// showsCarry is the evidence that a blank means "as above". The heading stands
// for what is the same for many captures (a date, a place, a species), or the
// values are dates; the column is left of one that is filled nearly
// everywhere; its first row is filled, a third of its cells at least is blank;
// and no value is twice in a row, as it would if blanks were values that
// are missing, unless one of the outer columns, which are carried down and left of it,
// begins anew there. The mark of a single animal is never carried.
func (b *body) showsCarry(k int, outer []int) bool {
	rows := b.table.Rows
	if len(rows) < fewestCarried || !b.mayCarry(k) {
		return false
	}
	filled, blanks, last := 0, 0, ""
	for _, r := range rows {
		text := strings.TrimSpace(r.Cells[k].Text)
		if text == "" {
			blanks++
		}
		if text == "" || r.Cells[k].Carried && b.dittos[k] != nil { // some groups of rows may have ditto marks
			continue
		}
		if text == last && !beginsAnew(r.Cells, outer) {
			return false
		}
		if filled++; filled*3 > len(rows)*2 {
			return false
		}
		last = text
	}
	return filled >= 2 && blanks > 0 && b.fullRightOf(k)
}

// beginsAnew reports whether a value is written in one of the columns.
//
//	3 May   Rana arvalis   61
//	                       58
//	4 May   Rana arvalis   60
func beginsAnew(cells []record.Cell, columns []int) bool {
	return slices.ContainsFunc(columns, func(k int) bool { return !cells[k].Empty() && !cells[k].Carried })
}

// mayCarry is the part of that evidence that heading and first row give. A name is
// carried only to rows that look like those that have one: in others there may have
// been no animal.
func (b *body) mayCarry(k int) bool {
	first := &b.table.Rows[0].Cells[k]
	return !first.Empty() && (b.sameForMany(k) || isDay(first)) && (!namesAnimals(b.heading(k)) || b.alike(k))
}

// alike reports whether rows with a blank in column k are filled like those with a
// value: half of them at least, in most columns that are filled beside every value.
func (b *body) alike(k int) bool {
	n := len(b.table.Columns)
	missing, under, blanks := make([]int, n), make([]int, n), make([]int, n) // beside a value, and beside a blank
	for i := range b.table.Rows {
		cells := b.table.Rows[i].Cells
		given := !cells[k].Empty()
		for j := range n {
			switch blank := cells[j].Empty(); {
			case given && blank:
				missing[j]++
			case given:
			case blank:
				blanks[j]++
			default:
				under[j]++
			}
		}
	}
	like, all := 0, 0
	for j := range n {
		if j != k && missing[j] == 0 {
			if all++; under[j] >= blanks[j] {
				like++
			}
		}
	}
	return 2*like > all
}

// heading is what stands over a column, in its lowest cell if that says more.
func (b *body) heading(k int) string {
	if c := &b.table.Columns[k]; len(c.Parts) > 1 && len(headingWords()[fold(c.Heading)]) == 0 {
		return lowest(c.Parts)
	}
	return b.table.Columns[k].Heading
}

// sameForMany reports whether what is under a heading is usually the same
// for many captures.
func (b *body) sameForMany(k int) bool {
	return sameForMany(b.heading(k))
}

// lowest is the last heading cell that says something.
func lowest(parts []string) string {
	for i := len(parts) - 1; i >= 0; i-- {
		if strings.TrimSpace(parts[i]) != "" {
			return parts[i]
		}
	}
	return ""
}

// fullRightOf reports whether a column further right is filled in nine rows of
// ten.
func (b *body) fullRightOf(k int) bool {
	rows := b.table.Rows
	for j := k + 1; j < len(b.table.Columns); j++ {
		blanks := 0
		for i := range rows {
			if rows[i].Cells[j].Empty() {
				if blanks++; blanks*10 > len(rows) {
					break
				}
			}
		}
		if blanks*10 <= len(rows) {
			return true
		}
	}
	return false
}
