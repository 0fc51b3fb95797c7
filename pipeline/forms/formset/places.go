package formset

import (
	"archive/zip"
	"bytes"
	"io"
	"maps"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/withhold"
)

// publicSites takes the sites out of the table of sites that no capture tells
// whose place is public. The other lines stay as they are.
func (f *forming) publicSites(text []byte) []byte {
	if !f.about.Withheld {
		return text
	}
	lines := bytes.SplitAfter(text, []byte("\n"))
	list := f.about.Sites.List
	if len(list) == 0 {
		return text
	}
	out := bytes.Join(lines[:list[0].Line-1], nil)
	for i := range list {
		end := len(lines)
		if i+1 < len(list) {
			end = list[i+1].Line - 1
		}
		if !f.about.Hidden.Public(&list[i]) {
			f.result.SitesOut++
			continue
		}
		out = append(out, bytes.Join(lines[list[i].Line-1:end], nil)...)
	}
	return out
}

// publicWords takes words out of a mapping that stand for a place that is
// withheld.
func (f *forming) publicWords(words map[string]map[string]string) map[string]map[string]string {
	if !f.about.Withheld {
		return words
	}
	out := map[string]map[string]string{}
	for term, list := range words {
		if withhold.Keeps(term) {
			out[term] = list
			continue
		}
		own := maps.Clone(list)
		maps.DeleteFunc(own, func(text, means string) bool { return !f.publicPlace(text) || !f.publicPlace(means) })
		if len(own) > 0 {
			out[term] = own
		}
	}
	return out
}

// publicPlace reports whether a text tells no site that is left out, and no place
// that is withheld.
func (f *forming) publicPlace(text string) bool {
	if sites := f.about.Sites; sites != nil {
		if s, _ := sites.Find(text); s != nil {
			return f.about.Hidden.Public(s)
		}
	}
	told, err := f.about.Hidden.Guard.Scan("", bytes.NewReader([]byte(text)))
	return err == nil && len(told) == 0
}

// guard looks through all files of the forms.
func (f *forming) guard() error {
	if !f.about.Withheld {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(f.files)) {
		if err := f.guardFile(name, f.files[name]); err != nil {
			return err
		}
	}
	return nil
}

func (f *forming) guardFile(name string, text []byte) error {
	if filepath.Ext(name) != ".xlsx" {
		return f.about.Guard(name, bytes.NewReader(text))
	}
	z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	if err != nil {
		return err
	}
	for _, part := range z.File {
		r, err := part.Open()
		if err != nil {
			return err
		}
		inside, err := io.ReadAll(r)
		if err != nil {
			return err
		}
		if err := f.about.Guard(name+"/"+part.Name, bytes.NewReader(inside)); err != nil {
			return err
		}
	}
	return nil
}
