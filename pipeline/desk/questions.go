package desk

import (
	"cmp"
	"net/http"
	"slices"

	"spadefoot/pipeline"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/vocabulary"
)

// questions is the page of what the sheets were understood to say.
func questions(d *Desk, mux *http.ServeMux) {
	mux.HandleFunc("GET /questions", d.show(d.questions))
	mux.HandleFunc("POST /questions/answer", d.do(d.answer))
	mux.HandleFunc("GET /questions/column", d.show(d.column))
	mux.HandleFunc("POST /questions/column", d.changeColumn)
	mux.HandleFunc("POST /questions/draft", d.do(d.draft))
	mux.HandleFunc("POST /questions/sheet", d.doAtOnce(d.upload)) // its file goes with the request
}

// questionsView is what the page shows.
type questionsView struct {
	Described bool
	Loose     []looseSheet
	Forms     []*formView
	Asked     []askedView // the most important first
}

// formView is a mapping and what it is for.
type formView struct {
	No      int
	Key     string // also its name
	Mark    string
	Fixed   bool // it has no file in the folder, so that it cannot be changed
	Columns []columnLine
	Tables  []tableView
}

// askedView is an open question with its answers.
type askedView struct {
	Form    *formView
	Text    string
	Answers []string
	weight  float64
}

// columnLine is one column of the overview.
type columnLine struct {
	Heading, Meaning, Unit, Instrument string
	State                              string // sure, unsure or open
	Doubts                             int
}

// tableView is a table with its first rows.
type tableView struct {
	Where    string
	Rows     int
	Headings []string
	Meanings []string
	First    [][]string
}

// rowsShown is how many rows of a table are shown.
const rowsShown = 5

func (d *Desk) questions(r *http.Request) (View, error) {
	v := View{Title: "Questions", Template: "questions.html"}
	if !d.described() {
		loose, err := d.looseSheets(nil)
		v.Data = questionsView{Loose: loose}
		return v, err
	}
	all, result, err := d.forms(r.Context())
	if err != nil {
		return v, err
	}
	loose, err := d.looseSheets(result.Survey)
	q := questionsView{Described: true, Loose: loose}
	for i, f := range all {
		view := &formView{No: i + 1, Key: f.key, Mark: f.text.Mark, Fixed: f.fixed()}
		for _, open := range f.standing.Open() {
			if view.Fixed {
				break
			}
			a := askedView{Form: view, Text: open.Text, weight: open.Weight()}
			for _, answer := range open.Answers {
				a.Answers = append(a.Answers, answer.Text)
			}
			q.Asked = append(q.Asked, a)
		}
		view.Columns = f.lines(result)
		for k, t := range f.tables {
			view.Tables = append(view.Tables, viewOf(t, f.rows[k], result.Survey.Measures()))
		}
		q.Forms = append(q.Forms, view)
	}
	sorting.StableFunc(q.Asked, func(a, b askedView) int { return cmp.Compare(b.weight, a.weight) })
	v.Data = q
	return v, err
}

// lines are the columns of a form with what they mean.
func (f *form) lines(result *pipeline.Snapshot) []columnLine {
	var out []columnLine
	for _, g := range f.standing.Guesses {
		m := g.Meaning
		line := columnLine{Heading: g.Heading, Unit: unitName(m.Unit), Instrument: m.Instrument, State: stateOf(g)}
		m.Unit = "" // it has its own column
		line.Meaning = wordsOf(m, result.Survey.Measures())
		for t, k := range f.columns(g.Heading) {
			line.Doubts += result.Columns[columnAddress(t, k)].Doubts
		}
		out = append(out, line)
	}
	return out
}

func stateOf(g *mapping.ColumnGuess) string {
	switch {
	case g.Meaning.Role == record.Unmatched:
		return "open"
	case g.Confidence < mapping.SureEnough || g.Meaning.Guessed:
		return "unsure"
	}
	return "sure"
}

// viewOf shows the first rows of a table as they were written.
func viewOf(t *record.Table, rows int, known *vocabulary.Measures) tableView {
	v := tableView{Where: (record.Address{File: t.File, Sheet: t.Sheet}).String(), Rows: rows}
	for _, c := range t.Columns {
		v.Headings = append(v.Headings, c.Heading)
		v.Meanings = append(v.Meanings, wordsOf(c.Meaning, known))
	}
	for i := range t.Rows[:min(rowsShown, len(t.Rows))] {
		var cells []string
		for k := range t.Rows[i].Cells {
			cells = append(cells, t.Rows[i].Cells[k].Verbatim())
		}
		v.First = append(v.First, cells)
	}
	return v
}

// answer takes the answer to an open question into the mapping.
func (d *Desk) answer(r *http.Request) (to, notice string, err error) {
	before, err := d.Survey(r.Context())
	if err != nil {
		return "", "", err
	}
	all, err := d.formsOf(before) // an answer changes them
	if err != nil {
		return "", "", err
	}
	f, err := d.formAsked(r, all)
	if err != nil {
		return "", "", err
	}
	open := f.standing.Open()
	i := slices.IndexFunc(open, func(q mapping.Question) bool { return q.Text == r.PostFormValue("question") })
	if i < 0 {
		return "", "", refuse(http.StatusConflict, "This question is no longer open.")
	}
	k := slices.IndexFunc(open[i].Answers, func(a mapping.Answer) bool { return a.Text == r.PostFormValue("answer") })
	if k < 0 {
		return "", "", refuse(http.StatusBadRequest, "Choose one of the answers first.")
	}
	text, err := f.standing.Answer(open[i], k)
	if err != nil {
		return "", "", refuse(http.StatusUnprocessableEntity, "%s", err)
	}
	after, err := d.writeMapping(r, f, text)
	if err != nil {
		return "", "", err
	}
	c, err := compare(before, after)
	return "/questions", "Written to " + f.text.Name + ". " + c.String(), err
}
