package desk

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/schemas"
)

// Page is one of the pages of a desk: its place, its name in the navigation, and
// what it answers.
type Page struct {
	Path   string // "/doubts"; what belongs to it has an address below
	Name   string
	Routes func(d *Desk, mux *http.ServeMux)
}

// View is what a page shows: a template of web/ that begins with
// {{template "top" .}} and ends with {{template "bottom" .}}, and what it reads
// as .Data.
type View struct {
	Title    string
	Template string // "doubts.html"
	Data     any
	Status   int // 0 for 200
}

// Refusal is an answer to a request that cannot be met, for a person to read.
type Refusal struct {
	Status int
	Reason string
}

func (e *Refusal) Error() string { return e.Reason }

// refuse makes a Refusal.
func refuse(status int, format string, args ...any) error {
	return &Refusal{status, fmt.Sprintf(format, args...)}
}

//go:embed web
var embedded embed.FS

var web = schemas.Folder{FS: embedded}

// templates are read when a desk shows its first page: few runs have one.
var templates struct {
	*template.Template
	read sync.Once
}

func readTemplates() {
	templates.Template = template.Must(template.New("desk").Funcs(template.FuncMap{
		"one":  record.Plural,
		"inc":  func(i int) int { return i + 1 },
		"say":  report.SplitReason,
		"help": findings.Help,
	}).ParseFS(web, "web/*.html"))
}

// pages are the pages of a desk, in the order of the navigation.
func pages() []Page {
	return []Page{
		{Path: "/questions", Name: "Questions", Routes: questions},
		{Path: "/doubts", Name: "Doubts", Routes: doubts},
		{Path: "/type-in", Name: "Type in", Routes: typeIn},
		{Path: "/season", Name: "Season", Routes: season},
		{Path: "/publish", Name: "Publish", Routes: publish},
	}
}

// routes puts all pages on one way.
func (d *Desk) routes() http.Handler {
	mux := http.NewServeMux()
	all := pages()
	for _, p := range all {
		p.Routes(d, mux)
	}
	mux.Handle("GET /{$}", http.RedirectHandler(all[0].Path, http.StatusSeeOther))
	mux.HandleFunc("GET /style.css", d.style)
	mux.HandleFunc("GET /at-work/{no}", d.atWork)
	mux.HandleFunc("GET /web/{name}", func(w http.ResponseWriter, r *http.Request) { sendScript(w, r, r.PathValue("name")) })
	return mux
}

// sendScript answers with a script, and keeps templates from being served as they stand.
func sendScript(w http.ResponseWriter, r *http.Request, name string) {
	b, err := web.ReadFile("web/" + name)
	if err != nil || path.Ext(name) != ".js" {
		http.NotFound(w, r)
		return
	}
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(b))
}

// style is the sheet of the report with what a desk needs beside it.
func (d *Desk) style(w http.ResponseWriter, _ *http.Request) {
	own, err := web.ReadFile("web/desk.css")
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	_, _ = w.Write(append([]byte(report.Style()), own...)) // whoever asked may be gone
}

// show answers with what a page has to show, or says what went wrong.
func (d *Desk) show(view func(r *http.Request) (View, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		visitOf(r.Context()).patience = d.Patience
		v, err := view(r)
		if waits, ok := errors.AsType[*waitError](err); ok {
			v = wait(w, waits)
		} else if err != nil {
			v = wrong(err)
		}
		d.render(w, r, v)
	}
}

// wait is the page that says what is waited for, and comes again by itself: at
// once where it will be there soon.
func wait(w http.ResponseWriter, e *waitError) View {
	seconds := "1"
	if e.soon {
		seconds = "0"
	}
	w.Header().Set("Refresh", seconds)
	return View{Title: "One moment", Template: "wait.html", Data: e.what}
}

// do answers a request that changes something: it goes on to the page that act
// names, with what is to be said there, or says what went wrong. What takes long
// goes on while a page waits for it.
func (d *Desk) do(act func(r *http.Request) (to, notice string, err error)) http.HandlerFunc {
	return d.atLength(func(r *http.Request) http.HandlerFunc { return d.done(act(r)) })
}

// doAtOnce is do for what never takes long.
func (d *Desk) doAtOnce(act func(r *http.Request) (to, notice string, err error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) { d.done(act(r))(w, r) }
}

// done answers with what came of an act.
func (d *Desk) done(to, notice string, err error) http.HandlerFunc {
	if err != nil {
		return func(w http.ResponseWriter, r *http.Request) { d.render(w, r, wrong(err)) }
	}
	return http.RedirectHandler(d.notices.add(to, notice), http.StatusSeeOther).ServeHTTP
}

// wrong is the page for an error. A fault of the survey is none of the request's, and
// is reported as it is.
func wrong(err error) View {
	v := View{Title: "This did not work", Template: "wrong.html", Data: strings.Split(err.Error(), "\n"), Status: http.StatusInternalServerError}
	if refusal, ok := errors.AsType[*Refusal](err); ok {
		v.Status = refusal.Status
	} else if _, changed := errors.AsType[*pipeline.ChangedError](err); changed {
		v.Status = http.StatusConflict
	} else if mistaken(err) {
		v.Title, v.Status = "The survey folder needs a correction", http.StatusUnprocessableEntity
	}
	return v
}

// shown is what a template reads.
type shown struct {
	View
	Pages  []Page
	Here   string // path of the page that is open
	Survey string // title of the survey, or the name of the folder
	Folder string
	Secret string
	Said   string // what the last act did
	Early  bool   // the last decisions are not looked at yet
}

func (d *Desk) render(w http.ResponseWriter, r *http.Request, v View) {
	s := shown{View: v, Pages: pages(), Survey: d.title(), Folder: d.folder, Secret: d.Secret, Said: d.notices.of(r), Early: visitOf(r.Context()).early}
	for _, p := range s.Pages {
		if r.URL.Path == p.Path || strings.HasPrefix(r.URL.Path, p.Path+"/") {
			s.Here = p.Path
		}
	}
	var b bytes.Buffer
	templates.read.Do(readTemplates)
	if err := templates.ExecuteTemplate(&b, v.Template, s); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if v.Status != 0 {
		w.WriteHeader(v.Status)
	}
	_, _ = b.WriteTo(w) // whoever asked may be gone
}
