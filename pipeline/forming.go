package pipeline

import (
	"context"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
)

// FormsOptions is what forms may have beside what the survey says.
type FormsOptions struct {
	Flags      map[string]*pflag.Flag // flags that override keys of survey.yaml, by key path
	Mapping    string                 // the one mapping to make forms of; empty for all
	Sessions   int                    // tabs to type into
	Replicates int                    // columns for each length
	Observers  []string               // who measures; empty for the creators and contacts
}

// Formed says what was made, for the summary.
type Formed struct {
	Folder   string
	Forms    []FormedForm
	SitesOut int // sites that were left out, since a place of a sensitive taxon is withheld or none is known to be public
}

// FormedForm is the form of one mapping: names of files within the folder.
type FormedForm struct {
	Mapping, Workbook string
	Pages             []string
	Columns           int
}

// Forms writes field forms for the mappings of a survey: for each a workbook to
// type into and pages to print. The folder is a survey folder itself, so that a
// run reads what is typed; it has to be new or empty.
func Forms(ctx context.Context, folder, out string, o FormsOptions) (_ *Formed, err error) {
	if err := output.MustBeEmpty(out, "forms never write over what may be typed already; give another folder"); err != nil {
		return nil, err
	}
	w, err := start(folder, Options{Flags: o.Flags, proposing: true})
	if err != nil {
		return nil, err
	}
	defer w.close(&err)
	f := &forming{w: w, o: o, files: map[string][]byte{}, result: &Formed{Folder: out}}
	if err := f.learnSecrets(ctx); err != nil {
		return nil, err
	}
	for _, u := range f.uses() {
		if err := f.form(u); err != nil {
			return nil, err
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	if len(f.result.Forms) == 0 {
		return nil, &CallError{Reason: fmt.Sprintf("--mapping: no sheet of the survey has the mapping %q; there are: %s", o.Mapping, strings.Join(f.names(), ", "))}
	}
	if err := f.copyTables(); err != nil {
		return nil, err
	}
	if f.files[survey.FileName], err = f.survey(); err != nil {
		return nil, err
	}
	if err := f.guard(); err != nil {
		return nil, err
	}
	if err := output.NewFolder(out, f.files, f.prove); err != nil {
		return nil, err
	}
	return f.result, nil
}

type forming struct {
	w      *walk
	o      FormsOptions
	files  map[string][]byte
	refs   []formRef
	result *Formed
}

// formRef is the sheet of a form in survey.yaml, and the form behind it.
type formRef struct {
	workbook, mapping string
	defaults          map[string]any
	form              *forms.Form
}

// mappingUse is a mapping in use: sheets that have it and are weighed alike share a
// form.
type mappingUse struct {
	name     string
	m        *mapping.Mapping
	weighing mapping.Weighing
	defaults map[string]any
}

// uses lists the mappings of the sheets, each once, in their order.
func (f *forming) uses() []mappingUse {
	var out []mappingUse
	for _, ref := range f.w.survey.Sheets {
		i := slices.IndexFunc(out, func(u mappingUse) bool { return u.m == ref.Map && u.weighing == ref.Weighing })
		if i < 0 {
			out = append(out, mappingUse{mappingName(ref), ref.Map, ref.Weighing, ref.Defaults})
			continue
		}
		out[i].defaults = agreed(out[i].defaults, ref.Defaults)
	}
	if f.o.Mapping == "" {
		return out
	}
	return slices.DeleteFunc(out, func(u mappingUse) bool { return u.name != f.o.Mapping && u.m.Name != f.o.Mapping })
}

func (f *forming) names() []string {
	var out []string
	for _, ref := range f.w.survey.Sheets {
		if n := mappingName(ref); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// mappingName is how survey.yaml calls the mapping of a sheet.
func mappingName(ref survey.SheetRef) string {
	var path string
	if err := jsonString(ref.RawMap, &path); err == nil && path != "" {
		return path
	}
	if ref.Map.Name != "" {
		return ref.Map.Name
	}
	return "captures"
}

// agreed keeps the defaults that two sheets have alike.
func agreed(a, b map[string]any) map[string]any {
	out := map[string]any{}
	for k, v := range a {
		if fmt.Sprint(b[k]) == fmt.Sprint(v) {
			out[k] = v
		}
	}
	return out
}

// form plans one form and makes its files.
func (f *forming) form(u mappingUse) error {
	form, err := forms.New(f.source(u))
	if err != nil {
		return &CallError{Reason: fmt.Sprintf("%s: %v", u.name, err)}
	}
	base := f.base(u.name)
	made := FormedForm{Mapping: base + ".yaml", Workbook: base + ".xlsx", Columns: len(form.Columns)}
	if f.files[made.Mapping], err = form.Mapping(); err != nil {
		return err
	}
	if f.files[made.Workbook], err = form.Workbook().Bytes(); err != nil {
		return err
	}
	for _, p := range []forms.Paper{forms.A4, forms.Letter} {
		name := base + "-" + strings.ToLower(p.Name) + ".html"
		if f.files[name], err = form.Page(p); err != nil {
			return err
		}
		made.Pages = append(made.Pages, name)
	}
	f.refs = append(f.refs, formRef{made.Workbook, made.Mapping, u.defaults, form})
	f.result.Forms = append(f.result.Forms, made)
	return nil
}

// base makes a file name of the name of a mapping.
func (f *forming) base(name string) string {
	if i := strings.LastIndexByte(name, '/'); i >= 0 {
		name = name[i+1:]
	}
	base := survey.Slug(strings.TrimSuffix(strings.TrimSuffix(name, ".yaml"), ".yml"))
	if base == "survey" {
		base = "captures"
	}
	out := base
	for n := 2; f.files[out+".yaml"] != nil; n++ {
		out = fmt.Sprintf("%s-%d", base, n)
	}
	return out
}

// copyTables takes the tables beside the sheets along. Remedies stay behind:
// they are about cells of other sheets.
func (f *forming) copyTables() error {
	t := f.w.survey.Tables
	for _, name := range []string{t.Checklist, t.Bags, t.Limits, t.Sites, f.w.sensitive.file, t.Known} {
		if name == "" {
			continue
		}
		text, err := fs.ReadFile(f.w.files, name)
		if err != nil {
			return &InputError{File: name, Err: err}
		}
		if f.files[name] != nil {
			return &CallError{Reason: fmt.Sprintf("%s: a table has the name of a form; rename the mapping", name)}
		}
		if name == t.Sites {
			text = f.publicSites(text)
		}
		f.files[name] = text
	}
	return nil
}

// prove reads the new survey folder back: its description has to be right, and
// every heading of a form has to mean what the form was made for.
func (f *forming) prove(folder string) error {
	s, err := survey.Load(output.Files(folder), nil, known.Words())
	if err != nil {
		return fmt.Errorf("the survey folder of the forms cannot be read back: %w", err)
	}
	for i, ref := range f.refs {
		t := record.Table{File: ref.workbook, HeadingRows: []int{1}}
		for j, c := range ref.form.Columns {
			t.Columns = append(t.Columns, record.Column{Heading: c.Heading, Parts: []string{c.Heading}, Number: j + 1})
		}
		if _, err := mapping.Apply(s.Sheets[i].Map, &t, known.Words()); err != nil {
			return &CallError{Reason: err.Error()}
		}
		for j, c := range ref.form.Columns {
			got := t.Columns[j].Meaning
			if got.Role != c.Meaning.Role || got.Term != c.Meaning.Term || got.Measurement != c.Meaning.Measurement ||
				got.Part != c.Meaning.Part || got.Replicate != c.Meaning.Replicate || got.Unit != c.Meaning.Unit && c.Number() {
				return &CallError{Reason: fmt.Sprintf("%s: the heading %q cannot be told from another one; give it another name in the mapping", ref.mapping, c.Heading)}
			}
		}
	}
	return nil
}
