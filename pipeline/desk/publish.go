package desk

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"os"
	"path"
	"slices"
	"strings"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/survey"
)

// publish is the page on what is missing before publishing, the run and its
// files.
func publish(d *Desk, mux *http.ServeMux) {
	mux.HandleFunc("GET /publish", d.show(d.publish))
	mux.HandleFunc("POST /publish/description", d.do(d.describe))
	mux.HandleFunc("POST /publish/run", d.do(d.run))
	mux.HandleFunc("GET /publish/file/{name...}", d.file)
}

// publishView is what the page shows.
type publishView struct {
	Mark       string
	Fields     []descriptionField
	Licences   []option
	Creators   []survey.Person
	Missing    []string
	Questions  int
	Ready      pipeline.Readiness
	Captures   int
	Published  []fileView
	More       []fileView // tables of results, and what else a run was asked for
	When       string
	Stale      bool
	FolderName string
}

// descriptionField is a part of the description that is a text.
type descriptionField struct {
	Key, Name, Value string
	Long             bool
}

// fileView is a file that was published.
type fileView struct {
	Name, Address, Size, What string
	Look                      bool // it is for looking at
}

// licences are those that the repositories of such data take.
var licences = []option{
	{Value: "https://creativecommons.org/publicdomain/zero/1.0/legalcode", Text: "CC0 1.0: no rights reserved"},
	{Value: "https://creativecommons.org/licenses/by/4.0/legalcode", Text: "CC BY 4.0: anyone who uses the data must credit you"},
	{Value: "https://creativecommons.org/licenses/by-nc/4.0/legalcode", Text: "CC BY-NC 4.0: must credit you, and no commercial use"},
}

func (d *Desk) publish(r *http.Request) (View, error) {
	v := View{Title: "Publish", Template: "publish.html"}
	if !d.described() {
		v.Template = "undescribed.html"
		return v, nil
	}
	all, result, err := d.forms(r.Context())
	if err != nil {
		return v, err
	}
	text, err := d.Read(survey.FileName)
	if err != nil {
		return v, err
	}
	set := result.Survey.Dataset
	creators := append(slices.Clone(set.Creators), survey.Person{})
	for i := range creators {
		if creators[i].Family == survey.NoName { // a draft's word for nobody
			creators[i].Family = ""
		}
	}
	p := publishView{Mark: text.Mark, Creators: creators, Ready: result.Ready, Captures: result.Counts.Captures, FolderName: d.published,
		Fields: []descriptionField{
			{"title", partNames["title"], set.Title, false},
			{"description", partNames["description"] + ": what was done, where, when", set.Description, true},
			{"id", partNames["id"] + "; it never changes, and every identifier is made from it", set.ID, false},
			{"rightsHolder", partNames["rightsHolder"], set.RightsHolder, false},
			{"permits", partNames["permits"], set.Permits, false},
			{"ethics", partNames["ethics"], set.Ethics, false},
			{"methods", partNames["methods"], set.Methods, true},
			{"published", partNames["published"] + ", such as 2024-09-30; the last date in the data if empty", set.Published, false},
		}}
	for _, f := range all {
		if !f.fixed() {
			p.Questions += len(f.standing.Open())
		}
	}
	for _, l := range licences {
		if l.Chosen = sameLicence(l.Value, set.Licence); l.Chosen {
			l.Value = set.Licence // saved as it was written
		}
		p.Licences = append(p.Licences, l)
	}
	if set.Licence != "" && !slices.ContainsFunc(p.Licences, func(o option) bool { return o.Chosen }) {
		p.Licences = append(p.Licences, option{set.Licence, set.Licence, true})
	}
	p.Missing = missing(result)
	if err := d.listPublished(&p); err != nil {
		return v, err
	}
	v.Data = p
	return v, nil
}

func sameLicence(a, b string) bool {
	x, known := terms.FindLicence(a)
	y, also := terms.FindLicence(b)
	return known && also && x == y
}

// missing says what the description lacks.
func missing(r *pipeline.Snapshot) (out []string) {
	if ms, ok := errors.AsType[config.Mistakes](r.Missing); ok {
		for _, m := range ms {
			out = append(out, partName(strings.TrimPrefix(m.Path, "dataset."))+": "+m.Problem)
		}
	} else if r.Missing != nil {
		out = append(out, r.Missing.Error())
	}
	for _, key := range r.Survey.Undescribed() {
		out = append(out, partName(key)+": still the draft's placeholder text")
	}
	return out
}

// partNames are the parts of the description, for people.
var partNames = map[string]string{"title": "Title", "description": "Description", "id": "Identifier of the data set", "licence": "Licence", "creators": "Creators of the data",
	"rightsHolder": "Rights holder", "permits": "Permits", "ethics": "How the animals were treated", "methods": "How animals were looked for", "published": "Date of publication"}

func partName(key string) string {
	first, rest, _ := strings.Cut(key, ".")
	if name := partNames[first]; name != "" {
		return strings.TrimSpace(name + " " + rest)
	}
	return key
}

// files are what a run writes, and what each is for.
var files = []struct{ name, what string }{
	{"darwin-core.zip", "the archive, to submit"}, {"report.html", "the report, for people"}, {"captures.csv", "one row per capture, for spreadsheets"},
	{"findings.csv", "one row per doubt"}, {"findings.json", "the same for machines"}, {"run.json", "what was read and what was written"},
	{"darwin-core/occurrence.csv", "captures"}, {"darwin-core/measurementorfact.csv", "measurements"}, {"darwin-core/meta.xml", "what the columns mean"}, {"darwin-core/eml.xml", "the description"},
}

// listPublished lists what the last run wrote.
func (d *Desk) listPublished(p *publishView) error {
	root, err := os.OpenRoot(d.published)
	if err != nil {
		return ignoreMissing(err)
	}
	defer root.Close()
	made, err := root.Stat("run.json")
	if err != nil {
		return ignoreMissing(err)
	}
	p.When = made.ModTime().Format("2006-01-02 15:04")
	place := func(name string) int {
		return slices.IndexFunc(files, func(f struct{ name, what string }) bool { return f.name == name })
	}
	err = fs.WalkDir(root.FS(), ".", func(rel string, e fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case e.IsDir() && strings.HasPrefix(rel, ".") && rel != ".":
			return fs.SkipDir // of a run that is under way
		case e.IsDir():
			return nil
		}
		info, err := e.Info()
		if err != nil {
			return err
		}
		f := fileView{Name: rel, Address: "/publish/file/" + rel, Size: size(info.Size()), Look: path.Ext(rel) == ".html"}
		if at := place(rel); at < 0 {
			p.More = append(p.More, f)
		} else {
			f.What = files[at].what
			p.Published = append(p.Published, f)
		}
		return nil
	})
	sorting.StableFunc(p.Published, func(a, b fileView) int { return cmp.Compare(place(a.Name), place(b.Name)) })
	newest, err2 := d.newest()
	p.Stale = newest.After(made.ModTime())
	return errors.Join(err, err2)
}

func size(n int64) string {
	switch {
	case n >= 1<<20:
		return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
	case n >= 1<<10:
		return fmt.Sprintf("%.0f kB", float64(n)/(1<<10))
	}
	return fmt.Sprintf("%d bytes", n)
}

// newest is when a file of the survey was last changed.
func (d *Desk) newest() (last time.Time, err error) {
	err = d.eachFile(func(_ string, info fs.FileInfo) {
		if info.ModTime().After(last) {
			last = info.ModTime()
		}
	})
	return last, err
}

// describe writes the description into survey.yaml.
func (d *Desk) describe(r *http.Request) (to, notice string, err error) {
	text, err := d.Read(survey.FileName)
	if err != nil {
		return "", "", err
	}
	if r.PostFormValue("mark") != text.Mark {
		return "", "", &pipeline.ChangedError{Name: survey.FileName}
	}
	result, err := d.Survey(r.Context())
	if err != nil {
		return "", "", err
	}
	parts := described(r, result.Survey.Dataset)
	if len(parts) == 0 {
		return "/publish", "Nothing was changed.", nil
	}
	now, err := survey.Describe(text.Bytes, parts)
	if err != nil {
		return "", "", refuse(http.StatusUnprocessableEntity, "%s", err)
	}
	if _, err := d.writeTried(r.Context(), text, now, "description"); err != nil {
		return "", "", err
	}
	return "/publish", "The description was written to survey.yaml.", nil
}

// described are the parts of the description that a form changes.
func described(r *http.Request, set survey.Dataset) (parts []survey.Part) {
	for key, was := range map[string]string{"title": set.Title, "description": set.Description, "id": set.ID, "licence": set.Licence, "rightsHolder": set.RightsHolder,
		"permits": set.Permits, "ethics": set.Ethics, "methods": set.Methods, "published": set.Published} {
		now := strings.Join(strings.Fields(r.PostFormValue(key)), " ")
		if r.PostForm.Has(key) && now != strings.Join(strings.Fields(was), " ") && (now != "" || key != "title" && key != "id") {
			parts = append(parts, survey.Part{Key: key, Text: now})
		}
	}
	sorting.Func(parts, func(a, b survey.Part) int { return strings.Compare(a.Key, b.Key) })
	var people []survey.Person
	for i := range r.PostForm["family"] {
		at := func(key string) string {
			if all := r.PostForm[key]; i < len(all) {
				return strings.TrimSpace(all[i])
			}
			return ""
		}
		var p survey.Person
		if i < len(set.Creators) {
			p = set.Creators[i]
		}
		p.Given, p.Family, p.Organisation, p.Email, p.ORCID = at("given"), at("family"), at("organisation"), at("email"), at("orcid")
		if p.Family != "" || p.Organisation != "" {
			people = append(people, p)
		}
	}
	if len(people) > 0 && !slices.Equal(people, set.Creators) {
		parts = append(parts, survey.Part{Key: "creators", People: people})
	}
	return parts
}

// run makes everything that a run makes, in the folder of what is published.
func (d *Desk) run(r *http.Request) (to, notice string, err error) {
	o := d.Pipeline
	o.Parts = visitOf(r.Context()).progress.tell
	d.walks.oneAtATime.Lock()
	result, err := pipeline.Run(r.Context(), d.folder, d.published, o)
	d.walks.oneAtATime.Unlock()
	if _, undecided := errors.AsType[*pipeline.UndecidedError](err); undecided {
		err = refuse(http.StatusUnprocessableEntity, "%s", err)
	}
	if err != nil {
		return "", "", err
	}
	c := result.Counts
	return "/publish", fmt.Sprintf("The archive was written and proved: read back and checked against the published standard, it has %s and %s, as many as went in. %s",
		record.Plural(c.Occurrences, "occurrence"), record.Plural(c.Measurements, "measurement"), leftOut(result.Ready)), nil
}

// leftOut says what is not published as a value.
func leftOut(r pipeline.Readiness) string {
	switch {
	case r.Errors == 0:
		return "Nothing is undecided."
	case r.Kept:
		return fmt.Sprintf("%s undecided; their values are published, as survey.yaml says.", record.Plural(r.Errors, "error"))
	}
	return fmt.Sprintf("%s undecided, so %s left out and marked as undecided.", record.Plural(r.Errors, "error"), was(r.LeftOut, "value"))
}

// was writes a number of things that were.
func was(n int, word string) string {
	if n == 1 {
		return "1 " + word + " was"
	}
	return record.Plural(n, word) + " were"
}

// reportPolicy lets the report have its styles, which are in the page.
const reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// file sends what was published.
func (d *Desk) file(w http.ResponseWriter, r *http.Request) {
	name := path.Clean(r.PathValue("name"))
	root, err := os.OpenRoot(d.published)
	if err != nil {
		http.Error(w, "Nothing has been written yet.", http.StatusNotFound)
		return
	}
	defer root.Close()
	f, err := root.Open(name)
	if err != nil {
		http.Error(w, "There is no such file.", http.StatusNotFound)
		return
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || info.IsDir() {
		http.Error(w, "There is no such file.", http.StatusNotFound)
		return
	}
	h := w.Header()
	if path.Ext(name) == ".html" {
		h.Set("Content-Security-Policy", reportPolicy)
		h.Set("Content-Type", "text/html; charset=utf-8")
	} else {
		h.Set("Content-Type", cmp.Or(mime.TypeByExtension(path.Ext(name)), "application/octet-stream"))
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": path.Base(name)}))
	}
	_, _ = io.Copy(w, f) // whoever asked may be gone
}
