package pipeline

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/lanes"
	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/weigh"
)

// read takes every file of the survey to sheets.
func (w *way) read() error {
	for i, ref := range w.survey.Sheets {
		w.inputs.Note(ref.File)
		sheets, fs, err := sheet.Read(ref.File, w.inputs.Path(ref.File), sheetOptions(ref))
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
		w.find(fs...)
		for _, s := range sheets {
			w.counts.Sheets++
			w.counts.RowsRead += len(s.Rows)
			w.sheets = append(w.sheets, sheetOf{i, s})
		}
		if err := w.ctx.Err(); err != nil {
			return err
		}
	}
	return nil
}

func sheetOptions(ref survey.SheetRef) sheet.Options {
	return sheet.Options{Encoding: ref.Encoding, Tabs: ref.Tabs, Separator: separator(ref.Separator)}
}

func separator(word string) rune {
	switch word {
	case "":
		return 0
	case "tab":
		return '\t'
	}
	return []rune(word)[0]
}

// layOut finds the tables of every sheet.
func (w *way) layOut() error {
	for i := range w.sheets {
		s := &w.sheets[i]
		ref := w.survey.Sheets[s.ref]
		tables, fs := layout.Find(s.sheet, layoutOptions(ref))
		w.find(fs...)
		for j := range tables {
			w.laid = append(w.laid, tableOf{ref: s.ref, table: &tables[j]})
		}
		s.sheet.Rows = nil // the tables hold the cells now
	}
	return nil
}

func layoutOptions(ref survey.SheetRef) layout.Options {
	l := ref.Layout
	o := layout.Options{
		Plain: l.Plain, HeadingRow: l.HeadingRow, HeadingRows: l.HeadingRows, LastRow: l.LastRow,
		FirstColumn: l.FirstColumn, LastColumn: l.LastColumn, Transposed: l.Transposed,
		CarryDown: l.CarryDown, SkipRows: l.SkipRows,
	}
	if ref.Map != nil {
		o.IsHeading = ref.Map.Matcher(Known())
		o.KeepBlank = ref.Map.KeepsBlank(Known())
	}
	for _, name := range slices.Sorted(maps.Keys(l.Labels)) {
		o.Labels = append(o.Labels, record.Label{Name: name, Cell: record.Cell{Kind: record.Text, Text: fmt.Sprint(l.Labels[name])}})
	}
	return o
}

// mapHeadings gives every column its meaning.
func (w *way) mapHeadings() error {
	known := Known()
	for i := range w.laid {
		t := &w.laid[i]
		fs, err := mapping.Apply(w.survey.Sheets[t.ref].Map, t.table, known)
		if err != nil {
			return &CallError{err.Error()}
		}
		w.find(fs...)
		t.count(t.table.Rows)
		w.counts.Tables++
		w.counts.TableRows += t.rows
		w.find(t.withoutRows()...)
	}
	return nil
}

func (t *tableOf) withoutRows() []record.Finding {
	if t.rows > 0 {
		return nil
	}
	return []record.Finding{{Rule: "table-without-rows", Level: record.Warning,
		At:     record.Address{File: t.table.File, Sheet: t.table.Sheet, Row: t.table.Rectangle.Top},
		Reason: "the table has headings and no rows"}}
}

// normalise turns rows into captures and gives them their identifiers.
func (w *way) normalise() error {
	for _, t := range w.laid {
		x, err := w.context(t.ref)
		if err != nil {
			return err
		}
		captures, fs := normalise.Table(t.table, x)
		w.find(fs...)
		w.captures = append(w.captures, captures...)
	}
	w.counts.Captures = len(w.captures)
	w.counts.Absences = len(w.captures) - len(w.animals())
	w.identify()
	return nil
}

// weigh takes gross and tare to net, then compares the tares of each session.
func (w *way) weigh() error {
	settings, err := w.weighSettings()
	if err != nil {
		return err
	}
	sessions := tares{}
	animals := w.animals()
	w.eachCapture(animals, func(c *record.Capture) []record.Finding { return weigh.Weigh(c, w.tables.bags, settings) })
	for _, c := range animals {
		sessions.add(c)
	}
	w.eachCapture(animals, func(c *record.Capture) []record.Finding { return sessions.judge(c, settings) })
	return nil
}

// eachCapture lets a stage that looks at one capture at a time work on all
// processors, and takes its findings in the order of the captures.
func (w *way) eachCapture(captures []*record.Capture, work func(*record.Capture) []record.Finding) {
	_ = lanes.InOrder(slices.Values(captures), func(cs []*record.Capture) (fs []record.Finding) {
		for _, c := range cs {
			fs = append(fs, captureFindings(c, work(c))...)
		}
		return fs
	}, func(fs []record.Finding) error {
		w.find(fs...)
		return nil
	})
}

// tares are the tares that are compared with each other, by group.
type tares map[string]*weigh.TareSummary

func (t tares) add(c *record.Capture) {
	key := tareGroup(c)
	if t[key] == nil {
		t[key] = &weigh.TareSummary{}
	}
	t[key].AddCapture(c)
}

func (t tares) judge(c *record.Capture, s weigh.Settings) []record.Finding {
	return weigh.JudgeTare(c, *t[tareGroup(c)], s)
}

// tareGroup is what a tare is compared within: the sheet, since a team takes
// the same few bags through a season and a single night has too few of them.
func tareGroup(c *record.Capture) string { return c.File + "\x1f" + c.Sheet }

func captureFindings(c *record.Capture, fs []record.Finding) []record.Finding {
	for i := range fs {
		if fs[i].Capture == "" {
			fs[i].Capture = c.Key
		}
	}
	return fs
}

// identify gives every capture its identifier. A key that is missing or was
// given before is a finding; the capture keeps an identifier of its own.
func (w *way) identify() {
	first := map[string]*record.Capture{}
	for _, c := range w.captures {
		if c.Key == "" {
			w.missingKey(c)
			continue
		}
		if other, twice := first[c.Key]; twice {
			w.keyRepeated(c, other)
			continue
		}
		first[c.Key] = c
		c.ID = w.identifier(c.Key)
	}
	w.separate()
}

// missingKey names the capture after its place for people and after its
// contents for its identifier.
func (w *way) missingKey(c *record.Capture) {
	c.Key = "(" + c.Address().String() + ")"
	w.find(record.Finding{Rule: "key-missing", Level: record.Error, At: w.keyAddress(c), Capture: c.Key, Field: "key",
		Reason: "no value in the key columns names this capture; its identifier is made from its contents"})
	c.ID = w.identifier("\x1f" + contents(c))
}

// separate keeps identifiers unique where rows are the same to the letter.
func (w *way) separate() {
	seen := map[string]int{}
	for _, c := range w.captures {
		seen[c.ID]++
		if n := seen[c.ID]; n > 1 {
			c.ID = w.identifier(c.Key + "\x1f" + contents(c) + "\x1f" + strings.Repeat("+", n-1))
		}
	}
}

// contents is everything that was written in the row, in order. It is the same
// before and after weighing.
func contents(c *record.Capture) string {
	var b strings.Builder
	for _, v := range c.Values {
		if v.Verbatim != "" {
			b.WriteString(v.Term + "=" + v.Verbatim + "\x1f")
		}
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; !weighed(c, r) {
			b.WriteString(r.Measurement + "=" + r.Verbatim + "\x1f")
		}
	}
	for _, e := range c.Extras {
		b.WriteString(e.Heading + "=" + e.Text + "\x1f")
	}
	return b.String()
}

// weighed reports whether a reading was added by weighing.
func weighed(c *record.Capture, r *record.Reading) bool {
	if r.Derived || c.Weighing == nil {
		return r.Derived
	}
	of := func(part *record.Reading) bool { return part != nil && part.From == r.From }
	return of(c.Weighing.Gross) || of(c.Weighing.Net)
}

// keyAddress is the cell of the first key term, or where it should stand.
func (w *way) keyAddress(c *record.Capture) record.Address {
	at := c.Address()
	for _, t := range w.laid {
		if t.table.File != c.File || t.table.Sheet != c.Sheet || t.table.Index != c.Table {
			continue
		}
		for _, term := range w.survey.Sheets[t.ref].Map.Key {
			if v := c.Value(term); v != nil && v.From.File == c.File {
				return v.From
			}
		}
		for _, col := range t.table.Columns {
			key := w.survey.Sheets[t.ref].Map.Key
			if len(key) > 0 && col.Meaning.Term == key[0] && !t.table.Transposed {
				at.Column = col.Number
			}
		}
	}
	return at
}
