package pipeline

import (
	"encoding/json"
	"io"
	"maps"
	"slices"
	"strconv"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/survey"
)

// Counts follows the captures from the sheets to the archive.
type Counts struct {
	Sheets       int `json:"sheets"`
	RowsRead     int `json:"rowsRead"`
	Tables       int `json:"tables"`
	TableRows    int `json:"tableRows"`
	Captures     int `json:"captures"`
	Dropped      int `json:"dropped,omitempty"` // captures that a remedy left out, beside those
	Occurrences  int `json:"occurrences"`
	Measurements int `json:"measurements"`
	Media        int `json:"media,omitempty"`
	Absences     int `json:"absences,omitempty"` // of the captures: rows that say that nothing was found
	LeftOut      int `json:"leftOut,omitempty"`  // values that are not published since nobody decided on them
	Withheld     int `json:"withheld,omitempty"` // of the captures: those whose place is withheld

	Package map[string]int `json:"package,omitempty"` // rows of the data package, by table
}

// manifest is run.json: how the run was made and what was understood.
type manifest struct {
	Program  string             `json:"program"`
	Version  string             `json:"version"`
	Dataset  string             `json:"dataset"`
	Inputs   []report.InputNote `json:"inputs"`
	Rules    map[string]any     `json:"rules"`
	Tables   []tableNote        `json:"tables"`
	Remedies []decisionNote     `json:"remedies,omitempty"`
	Counts   Counts             `json:"counts"`
	Cells    account.Counts     `json:"cells"` // of all columns
	Findings report.Counts      `json:"findings"`
	ByRule   map[string]int     `json:"findingsByRule"`
}

type tableNote struct {
	File        string           `json:"file"`
	Sheet       string           `json:"sheet,omitempty"`
	Table       int              `json:"table"`
	Rectangle   record.Rectangle `json:"rectangle"`
	HeadingRows []int            `json:"headingRows"`
	Transposed  bool             `json:"transposed,omitempty"`
	Mapping     string           `json:"mapping,omitempty"`
	Labels      []labelNote      `json:"labels,omitempty"`
	Rows        int              `json:"rows"`
	Columns     []columnNote     `json:"columns"`
}

type labelNote struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Cell  string `json:"cell,omitempty"`
}

type columnNote struct {
	Column     string          `json:"column"`
	Heading    string          `json:"heading"`
	Meaning    string          `json:"meaning"`
	Unit       string          `json:"unit,omitempty"`
	Instrument string          `json:"instrument,omitempty"`
	Replicate  int             `json:"replicate,omitempty"`
	Cells      *account.Counts `json:"cells,omitempty"` // that hold something, and what became of them
}

func (w *walk) writeRun(out io.Writer) error {
	m := manifest{
		Program: "spadefoot", Version: w.version, Dataset: w.survey.Dataset.ID,
		Inputs: w.inputNotes(), Rules: w.thresholds(), Tables: w.tableNotes(),
		Remedies: w.decisionNotes(), Counts: w.counts, Findings: w.tally.Levels, ByRule: w.tally.ByRule,
	}
	for _, t := range m.Tables {
		for _, c := range t.Columns {
			if c.Cells != nil {
				m.Cells.Add(*c.Cells)
			}
		}
	}
	if m.ByRule == nil {
		m.ByRule = map[string]int{}
	}
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	return e.Encode(m)
}

// allInputs are the sheets, the tables, survey.yaml and the mappings, by name.
func (w *walk) allInputs() []output.Input {
	for _, name := range slices.Sorted(maps.Keys(w.survey.Files)) {
		if !w.inputs.Noted(name) {
			w.inputs.NoteText(name, w.survey.Files[name])
		}
	}
	return w.inputs.All()
}

// inputNotes are the inputs as outputs may name them. Where places are withheld
// there is no size and no hash: whoever has the rest of a file could try places
// until they fit.
func (w *walk) inputNotes() []report.InputNote {
	var out []report.InputNote
	for _, in := range w.allInputs() {
		n := report.InputNote{File: in.File}
		if w.counts.Withheld == 0 {
			n.Bytes, n.SHA256 = &in.Bytes, in.SHA256
		}
		out = append(out, n)
	}
	return out
}

// unchanged makes sure that every input is still what it was when it was read.
func (w *walk) unchanged() error {
	_ = w.allInputs() // survey.yaml and the mappings too
	sheets := make([]string, len(w.survey.Sheets))
	for i, ref := range w.survey.Sheets {
		sheets[i] = ref.File
	}
	return w.inputs.Unchanged(sheets...)
}

func (w *walk) tableNotes() []tableNote {
	notes := []tableNote{}
	for _, l := range w.laid {
		t := l.table
		n := tableNote{File: t.File, Sheet: t.Sheet, Table: t.Index, Rectangle: t.Rectangle, HeadingRows: t.HeadingRows,
			Transposed: t.Transposed, Mapping: w.survey.Sheets[l.ref].Map.Name, Rows: l.rows}
		for _, lb := range t.Labels {
			ln := labelNote{Name: lb.Name, Value: lb.Cell.Text}
			if lb.Cell.Row > 0 {
				ln.Cell = record.ColumnLetters(lb.Cell.Column) + strconv.Itoa(lb.Cell.Row)
			} else {
				ln.Cell = survey.FileName
			}
			n.Labels = append(n.Labels, ln)
		}
		for i, c := range t.Columns {
			note := columnNote{Column: columnName(t, c), Heading: c.Heading, Meaning: meaningWords(c.Meaning),
				Unit: c.Meaning.Unit, Instrument: c.Meaning.Instrument, Replicate: c.Meaning.Replicate}
			if w.book != nil {
				cells := w.book.Column(t, i)
				note.Cells = &cells
			}
			n.Columns = append(n.Columns, note)
		}
		notes = append(notes, n)
	}
	return notes
}

// columnName is the letter of a column, or the number of the row that a
// transposed table has it in.
func columnName(t *record.Table, c record.Column) string {
	if t.Transposed {
		return "row " + strconv.Itoa(c.Number)
	}
	return record.ColumnLetters(c.Number)
}

func meaningWords(m record.Meaning) string {
	switch m.Role {
	case record.Term:
		return "term " + m.Term
	case record.Measurement:
		if m.Observer != "" {
			return "measurement " + m.Measurement + " by " + m.Observer
		}
		return "measurement " + m.Measurement
	case record.WeighPart:
		return "weighing " + m.Part
	case record.SetAside:
		return "set aside: " + m.Reason
	case record.NameColumn:
		return "name of the measurement"
	case record.ValueColumn:
		return "value of the measurement"
	case record.UnitColumn:
		return "unit of the measurement"
	}
	return "unmatched"
}
