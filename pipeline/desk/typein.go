package desk

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/typing"
)

// typeIn is the page for captures that are typed in, one a row. With a script
// rows are checked while they are typed, and held where there is no connection.
func typeIn(d *Desk, mux *http.ServeMux) {
	mux.HandleFunc("GET /type-in", d.show(d.typeInAsked))
	mux.HandleFunc("POST /type-in", d.keepPlain)
	mux.HandleFunc("GET /type-in-worker.js", worker)
	mux.HandleFunc("POST /type-in/check", d.script(d.checkRow))
	mux.HandleFunc("POST /type-in/keep", d.script(d.keepSent))
}

// worker sends the script that lets the form be loaded again without a connection,
// where a browser takes one. It is beside the form, since it can serve what is
// below its own address only.
func worker(w http.ResponseWriter, r *http.Request) {
	sendScript(w, r, "type-in-worker.js")
}

// typeInView is what the page shows.
type typeInView struct {
	Forms   []formLink
	Form    string // name of the file without folder and ending
	Name    string
	File    string
	Row     string // identifier of the row in hand
	Was     string // mark of that row as it is kept, where it is one to be changed
	Number  int    // of that row in the file
	Session []typeInField
	Animal  []typeInField
	Doubts  []typing.Doubt // of the row in hand, where it was not kept for them
	Kept    keptRows
	Folder  string
	Stale   string // why what rows are checked against could not be renewed
}

type formLink struct {
	Name, Path string
	Here       bool
}

// typeInField is one field of the page.
type typeInField struct {
	Index                         int
	Name, Unit, Kind, Mode, Value string
	Words                         []forms.Word
	Doubts                        []typing.Doubt
	Next                          bool // the next row gets the number after this one
}

// keptRows are the last rows of a file, the latest first.
type keptRows struct {
	N        int
	Headings []string
	Rows     []keptRow
}

type keptRow struct {
	Row   int // in the file
	ID    string
	Cells []string
}

// maxKept is how many kept rows the page shows.
const maxKept = 12

func formName(f *typing.Form) string {
	return strings.TrimSuffix(path.Base(f.File), ".csv")
}

// typistOf returns the survey prepared for typing, and the form with a name.
func (d *Desk) typistOf(ctx context.Context, name string) (t *pipeline.Typing, f *typing.Form, stale, err error) {
	if t, stale, err = d.typist(ctx); err != nil {
		return nil, nil, nil, err
	}
	f, err = formOf(t, name)
	return t, f, stale, err
}

// formOf is the form with a name; the first where none is named.
func formOf(t *pipeline.Typing, name string) (*typing.Form, error) {
	for i := range t.Forms {
		if f := &t.Forms[i]; name == "" || formName(f) == name {
			return f, nil
		}
	}
	return nil, refuse(http.StatusNotFound, "There is no form %q; the mappings of the survey may have changed. Reload the page.", name)
}

func (d *Desk) typeInAsked(r *http.Request) (View, error) {
	if !d.described() {
		return View{Title: "Type in", Template: "type-in-none.html"}, nil
	}
	t, f, stale, err := d.typistOf(r.Context(), r.URL.Query().Get("form"))
	if err != nil {
		return View{}, err
	}
	file, err := d.typedRows(f)
	if err != nil {
		return View{}, err
	}
	id := r.URL.Query().Get("row")
	if id == "" {
		return d.typeInView(t, f, file, identifier(), startRow(f, file.Rows), nil, stale), nil
	}
	i, there := file.Has(id)
	if !there {
		return View{}, refuse(http.StatusNotFound, "This row is no longer in %s.", f.File)
	}
	return d.typeInView(t, f, file, id, file.Rows[i], nil, stale).changing(file, i), nil
}

// startRow is the row that the page begins with: what holds for the session as in
// the last row, and the number after it.
func startRow(f *typing.Form, rows [][]string) []string {
	row := make([]string, len(f.Columns))
	if len(rows) == 0 {
		return row
	}
	last := rows[len(rows)-1]
	for i := range f.Columns {
		switch {
		case i >= len(last):
		case f.Columns[i].Session:
			row[i] = last[i]
		case numbered(f, i):
			row[i] = following(last[i])
		}
	}
	return row
}

// numbered reports whether a column numbers the captures.
func numbered(f *typing.Form, i int) bool {
	m := f.Columns[i].Meaning
	return m.Term == "recordNumber" || m.Term == "catalogNumber"
}

// following is the number after one, with as many digits: "MC24-009" gives
// "MC24-010". What does not end in a digit has none.
func following(number string) string {
	at := len(number)
	for at > 0 && number[at-1] >= '0' && number[at-1] <= '9' {
		at--
	}
	digits := number[at:]
	n, err := strconv.Atoi(digits)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%s%0*d", number[:at], len(digits), n+1)
}

// changing is the page for a row that is kept already.
func (v View) changing(file *typing.File, i int) View {
	page := v.Data.(typeInView)
	page.Was, page.Number = markOfRow(file.Rows[i]), i+2
	v.Data = page
	return v
}

func markOfRow(row []string) string { return markOf([]byte(strings.Join(row, "\x00"))) }

func (d *Desk) typeInView(t *pipeline.Typing, f *typing.Form, file *typing.File, id string, row []string, doubts []typing.Doubt, stale error) View {
	v := typeInView{Form: formName(f), Name: f.Name, File: f.File, Row: id, Doubts: doubts, Folder: d.folder, Kept: keptOf(f, file)}
	if stale != nil {
		v.Stale = stale.Error()
	}
	for i := range t.Forms {
		o := &t.Forms[i]
		v.Forms = append(v.Forms, formLink{o.Name, "/type-in?form=" + formName(o), o == f})
	}
	for i := range f.Columns {
		if typedOnly(f, i) {
			continue
		}
		field := fieldOf(f, i, cellAt(row, i))
		for _, doubt := range doubts {
			if doubt.Column == i {
				field.Doubts = append(field.Doubts, doubt)
			}
		}
		if f.Columns[i].Session {
			v.Session = append(v.Session, field)
		} else {
			v.Animal = append(v.Animal, field)
		}
	}
	return View{Title: "Type in", Template: "type-in.html", Data: v}
}

func cellAt(row []string, i int) string {
	if i < len(row) {
		return row[i]
	}
	return ""
}

// typedOnly reports whether a column is none that a person fills.
func typedOnly(f *typing.Form, i int) bool {
	h := f.Columns[i].Heading
	return h == typing.KeptHeading || h == typing.RowHeading
}

func fieldOf(f *typing.Form, i int, value string) typeInField {
	c := &f.Columns[i]
	out := typeInField{Index: i, Name: c.Name, Unit: c.Unit, Kind: "text", Value: value, Words: c.Words, Next: numbered(f, i)}
	switch {
	case c.Number():
		out.Mode = "decimal"
	case c.Meaning.Term == "eventDate":
		out.Kind = "date"
	case c.Meaning.Term == "eventTime":
		out.Kind = "time"
	}
	return out
}

// keptOf are the last rows, without the identifiers.
func keptOf(f *typing.Form, file *typing.File) keptRows {
	k := keptRows{N: len(file.Rows)}
	shown := f.Column(typing.RowHeading)
	for i := range f.Columns {
		if i != shown {
			k.Headings = append(k.Headings, f.Columns[i].Heading)
		}
	}
	for i := len(file.Rows) - 1; i >= max(0, len(file.Rows)-maxKept); i-- {
		k.Rows = append(k.Rows, keptRow{i + 2, cellAt(file.Rows[i], shown), shownCells(file.Rows[i], shown)})
	}
	return k
}

func shownCells(row []string, without int) []string {
	if without < 0 || without >= len(row) {
		return row
	}
	return slices.Delete(slices.Clone(row), without, without+1)
}

// identifier is one for a new row.
func identifier() string {
	var b [typing.IdentifierLength / 2]byte
	_, _ = rand.Read(b[:]) // it never fails
	return hex.EncodeToString(b[:])
}

// sent is a row as the page sends it.
type sent struct {
	Form      string   `json:"form"`
	Row       string   `json:"row"` // identifier
	Cells     []string `json:"cells"`
	Confirmed bool     `json:"confirmed"` // keep it in spite of doubts
	Held      bool     `json:"held"`      // it was typed without a connection
	Was       string   `json:"was"`       // mark of the row that it takes the place of
}

// answered is what the page gets back.
type answered struct {
	Kept   bool     `json:"kept"`
	Number int      `json:"number,omitempty"` // of the row in the file
	N      int      `json:"n,omitempty"`      // rows in the file
	Cells  []string `json:"cells,omitempty"`  // as the list of kept rows shows them
	Next   []string `json:"next,omitempty"`   // what the next row begins with
	typing.Checked
	Warning string `json:"warning,omitempty"`
}

// answerOf has a list for each, if an empty one: a script reads them.
func answerOf(c *typing.Checked) *answered {
	a := &answered{}
	a.Doubts = append([]typing.Doubt{}, c.Doubts...)
	a.Told, a.Expected = append([]typing.Note{}, c.Told...), append([]typing.Note{}, c.Expected...)
	return a
}

// keptAs adds that the row is in the file.
func (a *answered) keptAs(i int, row []string, f *typing.Form, file *typing.File) {
	a.Kept, a.Number, a.N, a.Cells, a.Next = true, i+2, len(file.Rows), shownCells(row, f.Column(typing.RowHeading)), startRow(f, file.Rows)
}

// script answers a script of the page.
func (d *Desk) script(act func(*http.Request, *sent) (*answered, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var s sent
		if err := json.NewDecoder(r.Body).Decode(&s); err != nil {
			http.Error(w, "This is not a row: "+err.Error(), http.StatusBadRequest)
			return
		}
		a, err := act(r, &s)
		if err != nil {
			v := wrong(err)
			http.Error(w, err.Error(), v.Status)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode(a) // whoever asked may be gone
	}
}

func (d *Desk) checkRow(r *http.Request, s *sent) (*answered, error) {
	t, f, _, err := d.typistOf(r.Context(), s.Form)
	if err != nil {
		return nil, err
	}
	file, err := d.typedRows(f)
	if err != nil {
		return nil, err
	}
	row, err := rowOf(f, s)
	if err != nil {
		return nil, err
	}
	before := file.Rows
	if i, there := file.Has(s.Row); there {
		before = file.Rows[:i:i]
	}
	checked, err := t.Check(f, append(before, row))
	if err != nil {
		return nil, err
	}
	return answerOf(checked), nil
}

func (d *Desk) keepSent(r *http.Request, s *sent) (*answered, error) {
	t, f, _, err := d.typistOf(r.Context(), s.Form)
	if err != nil {
		return nil, err
	}
	return d.keep(t, f, s)
}

// rowOf is a row of the file from what was sent.
func rowOf(f *typing.Form, s *sent) ([]string, error) {
	if len(s.Cells) != len(f.Columns) {
		return nil, refuse(http.StatusConflict, "The form has changed: the row has %d cells and the form %d columns. Reload the page.", len(s.Cells), len(f.Columns))
	}
	if _, err := hex.DecodeString(s.Row); err != nil || len(s.Row) != typing.IdentifierLength {
		return nil, refuse(http.StatusBadRequest, "The row has no identifier. Reload the page.")
	}
	row := make([]string, len(s.Cells))
	for i, c := range s.Cells {
		if !typedOnly(f, i) {
			row[i] = typing.Clean(c)
		}
	}
	return row, nil
}

// keepPlain keeps a row that was sent without a script.
func (d *Desk) keepPlain(w http.ResponseWriter, r *http.Request) {
	v, to, notice, err := d.keepPlainRow(r)
	switch {
	case err != nil:
		d.render(w, r, wrong(err))
	case to != "":
		http.Redirect(w, r, d.notices.add(to, notice), http.StatusSeeOther)
	default:
		d.render(w, r, v)
	}
}

func (d *Desk) keepPlainRow(r *http.Request) (v View, to, notice string, err error) {
	t, f, _, err := d.typistOf(r.Context(), r.PostFormValue("form"))
	if err != nil {
		return v, "", "", err
	}
	s := &sent{Form: formName(f), Row: r.PostFormValue("row"), Cells: make([]string, len(f.Columns)), Confirmed: r.PostFormValue("confirmed") != "", Was: r.PostFormValue("was")}
	for i := range s.Cells {
		s.Cells[i] = r.PostFormValue("c" + strconv.Itoa(i))
	}
	a, err := d.keep(t, f, s)
	if err != nil {
		return v, "", "", err
	}
	if !a.Kept {
		file, err := d.typedRows(f)
		if err != nil {
			return v, "", "", err
		}
		v = d.typeInView(t, f, file, s.Row, s.Cells, a.Doubts, nil)
		if i, there := file.Has(s.Row); there {
			v = v.changing(file, i)
		}
		return v, "", "", nil
	}
	notice = fmt.Sprintf("Kept as row %d of %s.", a.Number, f.File)
	if s.Was != "" {
		notice += " Its earlier text is in " + beforeFile(f) + "."
	}
	if a.Warning != "" {
		notice += " " + a.Warning
	}
	return v, "/type-in?form=" + formName(f), notice, nil
}

// keep keeps a row: it is on the disk when this says so. One with doubts is kept
// only if a person confirmed it, and the file says in spite of what. A row that
// was sent twice is kept once.
func (d *Desk) keep(t *pipeline.Typing, f *typing.Form, s *sent) (*answered, error) {
	row, err := rowOf(f, s)
	if err != nil {
		return nil, err
	}
	d.appending.Lock()
	defer d.appending.Unlock()
	text, file, err := d.typedText(f)
	if err != nil {
		return nil, err
	}
	i, there := file.Has(s.Row)
	switch {
	case s.Was == "" && there && !sameText(f, file.Rows[i], row):
		return nil, refuse(http.StatusConflict, "Row %d of %s was already kept under this identifier with different text. Reload the page to type another row, or change that one.", i+2, f.File)
	case s.Was == "" && there:
		a := answerOf(&typing.Checked{})
		a.keptAs(i, file.Rows[i], f, file)
		return a, d.list(f)
	case s.Was != "" && (!there || markOfRow(file.Rows[i]) != s.Was):
		return nil, refuse(http.StatusConflict, "Somebody else has changed the row meanwhile, and it was not overwritten. Look at it again, then change it.")
	case !there:
		i = len(file.Rows)
	}
	if !slices.ContainsFunc(row, func(c string) bool { return c != "" }) {
		return nil, refuse(http.StatusBadRequest, "The row is empty.")
	}
	checked, err := t.Check(f, append(slices.Clone(file.Rows[:i]), row))
	if err != nil {
		return nil, err
	}
	a := answerOf(checked)
	if len(checked.Doubts) > 0 && !s.Confirmed && !s.Held {
		return a, nil
	}
	row[f.Column(typing.KeptHeading)], row[f.Column(typing.RowHeading)] = keptNote(checked.Doubts, s.Held), s.Row
	if there {
		err = d.changeRow(f, text, file, i, row)
	} else {
		err = d.appendRow(f, file, row)
		file.Rows = append(file.Rows, row)
	}
	if err != nil {
		return nil, err
	}
	a.keptAs(i, row, f, file)
	if err := d.list(f); err != nil {
		a.Warning = err.Error() // the row is kept all the same
	}
	return a, nil
}

// sameText reports whether a row is the one that is kept, but for what the desk
// wrote into it.
func sameText(f *typing.Form, kept, row []string) bool {
	for i := range row {
		if !typedOnly(f, i) && cellAt(kept, i) != row[i] {
			return false
		}
	}
	return true
}

// keptNote says what was doubted of a row that was kept.
func keptNote(doubts []typing.Doubt, held bool) string {
	var says []string
	for _, d := range doubts {
		if !slices.Contains(says, d.Says) {
			says = append(says, d.Says)
		}
	}
	switch text := strings.Join(says, "; "); {
	case text == "":
		return ""
	case held:
		return "typed without a connection, to be checked: " + text
	default:
		return "checked and kept: " + text
	}
}

// errChangedHeadings says what to do where a typed file was changed by hand.
func errChangedHeadings(f *typing.Form, err error) error {
	if _, changed := errors.AsType[*typing.HeadingsError](err); changed {
		return refuse(http.StatusConflict, "%s: %v. Reload the page; a new file will be started.", f.File, err)
	}
	return refuse(http.StatusConflict, "%s cannot be extended: %v. Correct the file, or give it another name.", f.File, err)
}
