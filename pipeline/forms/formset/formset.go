// Package formset makes the folder of field forms: a survey folder with
// workbooks to type into.
package formset

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/withhold"
)

// Options is what forms may have beside what the survey says.
type Options struct {
	Flags      map[string]*pflag.Flag // flags that override keys of survey.yaml, by key path
	Mapping    string                 // the one mapping to make forms of; empty for all
	Sessions   int                    // tabs to type into
	Replicates int                    // columns for each length
	Observers  []string               // who measures; empty for the creators and contacts
}

// Formed says what was made, for the summary.
type Formed struct {
	Folder   string
	Forms    []Form
	SitesOut int // sites that were left out, since a place of a sensitive taxon is withheld or none is known to be public
}

// Form is the form of one mapping: names of files within the folder.
type Form struct {
	Mapping, Workbook string
	Pages             []string
	Columns           int
}

// About is what a survey knows that its forms are made from.
type About struct {
	Survey    *survey.Survey
	Files     fs.FS // the survey folder
	Checklist *taxon.Checklist
	Sites     *place.Sites
	Limits    []screen.Limit
	Sensitive string                               // name of the table of sensitive taxa; empty for none
	Hidden    *withhold.Hiding                     // places that are withheld; nil where none was looked for
	Withheld  bool                                 // there are some
	Guard     func(name string, r io.Reader) error // looks for them
}

// Make writes field forms for the mappings of a survey: for each a workbook to
// type into and pages to print. The folder is a survey folder itself, so that a
// run reads what is typed; it has to be new or empty.
func Make(ctx context.Context, about *About, out string, o Options) (*Formed, error) {
	f := &forming{about: about, o: o, files: map[string][]byte{}, result: &Formed{Folder: out}}
	for _, u := range f.uses() {
		if err := f.form(u); err != nil {
			return nil, err
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	if len(f.result.Forms) == 0 {
		return nil, &output.CallError{Reason: fmt.Sprintf("--mapping: no sheet of the survey has the mapping %q; there are: %s", o.Mapping, strings.Join(f.names(), ", "))}
	}
	if err := f.copyTables(); err != nil {
		return nil, err
	}
	var err error
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
	about  *About
	o      Options
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

// Use is a mapping in use: sheets that have it and are weighed alike share a
// form.
type Use struct {
	Name     string
	Mapping  *mapping.Mapping
	Weighing mapping.Weighing
	Defaults map[string]any
}

// Uses lists the mappings of the sheets of a survey, each once, in their order.
func Uses(s *survey.Survey) []Use { return (&forming{about: &About{Survey: s}}).uses() }

// Source gathers what the form of a mapping is made of, for columns without
// replicates and sessions.
func Source(about *About, u Use) forms.Source {
	return (&forming{about: about, files: map[string][]byte{}}).source(u)
}

// uses lists the mappings of the sheets, each once, in their order.
func (f *forming) uses() []Use {
	var out []Use
	for _, ref := range f.about.Survey.Sheets {
		i := slices.IndexFunc(out, func(u Use) bool { return u.Mapping == ref.Map && u.Weighing == ref.Weighing })
		if i < 0 {
			out = append(out, Use{mappingName(ref), ref.Map, ref.Weighing, ref.Defaults})
			continue
		}
		out[i].Defaults = agreed(out[i].Defaults, ref.Defaults)
	}
	if f.o.Mapping == "" {
		return out
	}
	return slices.DeleteFunc(out, func(u Use) bool { return u.Name != f.o.Mapping && u.Mapping.Name != f.o.Mapping })
}

func (f *forming) names() []string {
	var out []string
	for _, ref := range f.about.Survey.Sheets {
		if n := mappingName(ref); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// mappingName is how survey.yaml calls the mapping of a sheet.
func mappingName(ref survey.SheetRef) string {
	var file string
	_ = json.Unmarshal(ref.RawMap, &file) // no text where the mapping itself is there, or none
	return cmp.Or(file, ref.Map.Name, "captures")
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
func (f *forming) form(u Use) error {
	form, err := forms.New(f.source(u))
	if err != nil {
		return &output.CallError{Reason: fmt.Sprintf("%s: %v", u.Name, err)}
	}
	base := f.base(u.Name)
	made := Form{Mapping: base + ".yaml", Workbook: base + ".xlsx", Columns: len(form.Columns)}
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
	f.refs = append(f.refs, formRef{made.Workbook, made.Mapping, u.Defaults, form})
	f.result.Forms = append(f.result.Forms, made)
	return nil
}

// base makes a file name of the name of a mapping.
func (f *forming) base(name string) string {
	base := survey.Slug(strings.TrimSuffix(strings.TrimSuffix(path.Base(name), ".yaml"), ".yml"))
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
	t := f.about.Survey.Tables
	for _, name := range []string{t.Checklist, t.Bags, t.Limits, t.Sites, f.about.Sensitive, t.Known} {
		if name == "" {
			continue
		}
		text, err := fs.ReadFile(f.about.Files, name)
		if err != nil {
			return &output.InputError{File: name, Err: err}
		}
		if f.files[name] != nil {
			return &output.CallError{Reason: fmt.Sprintf("%s: a table has the same name as a form; rename the mapping", name)}
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
			return &output.CallError{Reason: err.Error()}
		}
		for j, c := range ref.form.Columns {
			got := t.Columns[j].Meaning
			if got.Role != c.Meaning.Role || got.Term != c.Meaning.Term || got.Measurement != c.Meaning.Measurement ||
				got.Part != c.Meaning.Part || got.Replicate != c.Meaning.Replicate || got.Unit != c.Meaning.Unit && c.Number() {
				return &output.CallError{Reason: fmt.Sprintf("%s: the heading %q cannot be told from another one; give it another name in the mapping", ref.mapping, c.Heading)}
			}
		}
	}
	return nil
}
