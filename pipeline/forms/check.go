package forms

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// longestFormula is the most that a check of typed values may hold (ECMA-376
// puts no bound; spreadsheet programs refuse more).
const longestFormula = 255

// Check warns about what is typed into a column.
type Check struct {
	List    string // name of a list of words; empty for a formula
	Formula string // for the first row below the heading, without "="
	Title   string
	Warning string
	Prompt  string // shown when a cell is chosen; empty for none
}

const lookAgain = "Keep it if this is what was written or read: a run checks it again and changes nothing."

// check returns the check of column i (from 1), or none.
func (f *Form) check(i int) *Check {
	c := &f.Columns[i-1]
	cell := record.ColumnLetters(i) + "2"
	k := &Check{Title: short("Look again: "+c.Name, 32)}
	switch {
	case len(c.Words) > 0:
		k.List, k.Warning = listName(i), "This is not in the list. Keep it if it is what was meant; a run also reads other common words and codes."
	case c.Meaning.Role == record.Measurement:
		k.Formula, k.Warning = f.limitFormula(i, cell), "Not a plain number, or outside the range of this animal or the instrument (tab "+KeyTab+"). "+lookAgain
	case c.Number():
		k.Formula, k.Warning = f.massFormula(c, cell), f.massWarning(c)
		k.Prompt = c.Says
	case c.Meaning.Term == "eventDate":
		k.Formula, k.Warning = f.dateFormula(cell), "Not a date written as 2024-06-21, or outside the survey. "+lookAgain
		k.Prompt = "Year-month-day, as 2024-06-21."
	case c.Meaning.Term == "eventTime":
		k.Formula = fmt.Sprintf("AND(LEN(%s)<=8,ISNUMBER(TIMEVALUE(%s)))", cell, cell)
		k.Warning = "Not a time of day written as 21:40. " + lookAgain
	case len(f.Key) == 1 && c.Meaning.Term == f.Key[0]:
		letters := record.ColumnLetters(i)
		k.Formula = fmt.Sprintf("SUMPRODUCT(--(%s$2:%s$%d=%s))=1", letters, letters, lastKeyRow, cell)
		k.Warning = "This name is already in the column. Every capture needs its own name that never changes."
		k.Prompt = c.Says
	default:
		return nil
	}
	return k
}

// lastKeyRow bounds the rows in which a repeated name is looked for, so that
// typing stays quick.
const lastKeyRow = 2000

// typed is the number that is in a cell of text, with a decimal point or a
// comma; what is not a number is an error, which counts as failing the check.
func typed(cell string) string {
	return `_xlfn.NUMBERVALUE(SUBSTITUTE(` + cell + `,",","."),"."," ")`
}

// limitFormula holds the number against the lines of the limits that are for
// this column and this animal: none may be broken.
func (f *Form) limitFormula(i int, cell string) string {
	match := fmt.Sprintf("(%s=%d)", limitNames[0], i)
	lines := f.limitLines()
	for n, term := range []string{"scientificName", "lifeStage", "sex"} {
		at := f.index(term)
		some := slices.ContainsFunc(lines, func(l LimitLine) bool { return l.Column == i && l.animal()[n] != "" })
		if at > 0 && some {
			name := limitNames[n+1]
			match += fmt.Sprintf("*((%s=%s2)+(%s=%q))", name, record.ColumnLetters(at), name, anyone)
		}
	}
	number := typed(cell)
	return fmt.Sprintf("SUMPRODUCT(%s*((%s-%s)*(%s-%s)<0))=0", match, number, limitNames[4], limitNames[5], number)
}

func (l LimitLine) animal() [3]string { return [3]string{l.Taxon, l.LifeStage, l.Sex} }

// massFormula wants a mass above zero that the scale can show; the empty bag
// also less than gross.
func (f *Form) massFormula(c *Column, cell string) string {
	parts := []string{typed(cell) + ">0"}
	if c.High > 0 {
		parts = append(parts, typed(cell)+"<="+plain(c.High))
	}
	formula := "AND(" + strings.Join(parts, ",") + ")"
	if gross := f.part(record.Gross); c.Meaning.Part == record.Tare && gross > 0 {
		g := record.ColumnLetters(gross) + "2"
		with := "AND(" + strings.Join(append(parts, fmt.Sprintf(`IF(%s="",TRUE,%s<%s)`, g, typed(cell), typed(g))), ",") + ")"
		if len(with) <= longestFormula {
			return with
		}
	}
	return formula
}

func (f *Form) massWarning(c *Column) string {
	s := "Not a plain mass above zero"
	if c.High > 0 {
		s += " that the scale can show"
	}
	if c.Meaning.Part == record.Tare {
		s += ", or the bag is not lighter than gross"
	}
	return s + ". " + lookAgain
}

// part is the number of the column of a part of the weighing, from 1.
func (f *Form) part(name string) int {
	return 1 + slices.IndexFunc(f.Columns, func(c Column) bool {
		return c.Meaning.Part == name
	})
}

// dateFormula wants a day as ISO 8601 writes it, within the survey.
func (f *Form) dateFormula(cell string) string {
	parts := []string{
		fmt.Sprintf("LEN(%s)=10", cell),
		fmt.Sprintf(`MID(%s,5,1)&MID(%s,8,1)="--"`, cell, cell),
		fmt.Sprintf("ISNUMBER(DATEVALUE(%s))", cell),
	}
	for _, end := range []struct{ sign, day string }{{">=", f.From}, {"<=", f.To}} {
		if len(end.day) == len("2024-06-21") {
			parts = append(parts, fmt.Sprintf("DATEVALUE(%s)%sDATE(%s,%s,%s)", cell, end.sign,
				end.day[:4], strings.TrimPrefix(end.day[5:7], "0"), strings.TrimPrefix(end.day[8:], "0")))
		}
	}
	return "AND(" + strings.Join(parts, ",") + ")"
}

// short cuts a text to so many characters.
func short(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most-1]) + "…"
}
