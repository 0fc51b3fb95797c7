package survey

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"spadefoot/mappings"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/mapping"
)

// starter is what the name of a mapping that comes with the program begins
// with: "starter/anuran" is mappings/anuran.yaml.
const starter = "starter/"

// loader reads each mapping once.
type loader struct {
	folder fs.FS
	doc    *config.Document
	known  mapping.Known
	files  map[string][]byte
	seen   map[string]*mapping.Mapping
	ms     config.Mistakes
	failed error // beyond the mistakes: a file that asks for more than it may
}

// loadMappings gives every sheet its mapping.
func (s *Survey) loadMappings(folder fs.FS, doc *config.Document, known mapping.Known) (config.Mistakes, error) {
	l := &loader{folder: folder, doc: doc, known: known, files: s.Files, seen: map[string]*mapping.Mapping{}}
	for i := range s.Sheets {
		ref := &s.Sheets[i]
		raw, key := ref.RawMap, sheetPath(doc, ref.File, i)+".mapping"
		if len(raw) == 0 {
			raw, key = s.Mapping, "mapping"
		}
		if len(raw) == 0 {
			l.ms = append(l.ms, config.Mistake{File: doc.File, Line: doc.Line("sheets"), Path: "sheets",
				Problem: fmt.Sprintf("the sheet %q has no mapping; give one here, or one for all sheets with the key mapping", ref.File)})
			continue
		}
		ref.Map = l.load(raw, key)
		if ref.Map != nil {
			ref.Weighing = merge(ref.Weighing, ref.Map.Weighing)
		}
	}
	return l.ms, l.failed
}

// SheetKey is the key of the entry of survey.yaml that a sheet came from:
// "sheets.2".
func (s *Survey) SheetKey(i int) string { return sheetPath(s.doc, s.Sheets[i].File, i) }

// sheetPath finds the entry of survey.yaml that a file came from; a pattern
// stands for several files, so the position alone does not decide.
func sheetPath(doc *config.Document, file string, i int) string {
	root, _ := doc.Root.(map[string]any)
	list, _ := root["sheets"].([]any)
	for j, e := range list {
		m, _ := e.(map[string]any)
		p, _ := m["file"].(string)
		if ok, _ := path.Match(p, file); ok {
			return fmt.Sprintf("sheets.%d", j)
		}
	}
	return fmt.Sprintf("sheets.%d", i)
}

func (l *loader) load(raw json.RawMessage, at string) *mapping.Mapping {
	key := at
	var name string
	if json.Unmarshal(raw, &name) == nil {
		key = "file " + name
	}
	if m, done := l.seen[key]; done {
		return m
	}
	l.seen[key] = nil
	doc := l.document(name, at)
	if doc == nil {
		return nil
	}
	m, err := mapping.Parse(doc, l.known)
	if err != nil {
		if ms, ok := err.(config.Mistakes); ok {
			for _, one := range ms {
				if name == "" && one.Path != "" {
					one.Path = at + "." + one.Path
				}
				l.ms = append(l.ms, one)
			}
			return nil
		}
		l.ms = append(l.ms, config.Mistake{File: doc.File, Problem: err.Error()})
		return nil
	}
	l.seen[key] = m
	return m
}

func (l *loader) document(name, at string) *config.Document {
	fail := func(problem string) *config.Document {
		l.ms = append(l.ms, l.doc.Mistake(at, problem))
		return nil
	}
	if name == "" {
		doc, ok := l.doc.Sub(at)
		if !ok {
			return fail("is empty")
		}
		return doc
	}
	var text []byte
	var err error
	if strings.HasPrefix(name, starter) {
		text, err = mappings.Files.ReadFile(strings.TrimPrefix(name, starter) + ".yaml")
		if err != nil {
			return fail(fmt.Sprintf("found %q, but no starter mapping has that name; there are: %s", name, strings.Join(starters(), ", ")))
		}
	} else {
		p, ok := clean(name)
		if !ok {
			return fail(fmt.Sprintf("found %q; it must be a path within the survey folder, with forward slashes", name))
		}
		if text, err = fs.ReadFile(l.folder, p); err != nil {
			if errors.Is(err, fs.ErrNotExist) {
				return fail(fmt.Sprintf("found %q, and there is no such file in the survey folder; check the name, including upper and lower case", name))
			}
			return fail(fmt.Sprintf("found %q, which cannot be read (%v); give the name of a YAML file in the survey folder", name, err))
		}
		l.files[p] = text
	}
	doc, err := config.Parse(name, text)
	if err != nil {
		ms, ok := errors.AsType[config.Mistakes](err)
		if !ok {
			l.failed = err
		}
		l.ms = append(l.ms, ms...)
		return nil
	}
	return doc
}

// starters lists the mappings that come with the program.
func starters() []string {
	names, _ := fs.Glob(mappings.Files, "*.yaml")
	for i, n := range names {
		names[i] = starter + strings.TrimSuffix(n, ".yaml")
	}
	return names
}

// merge lays the sheet's own weighing over the mapping's.
func merge(sheet, m mapping.Weighing) mapping.Weighing {
	if sheet.Way == "" {
		sheet.Way = m.Way
	}
	if sheet.Unit == "" {
		sheet.Unit = m.Unit
	}
	if sheet.Scale == "" {
		sheet.Scale = m.Scale
	}
	if sheet.Tare == 0 {
		sheet.Tare, sheet.TareSpread = m.Tare, m.TareSpread
	}
	return sheet
}
