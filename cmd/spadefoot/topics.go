package main

import (
	"cmp"
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/schemas"
)

// The topics of `spadefoot help`: one file each, at most 80 columns wide. The
// first line is the name and the title. Lines that begin with four blanks and a dollar sign
// are commands that a test runs in a folder with the bundled surveys; the
// lines below them, up to a blank one, are parts of what they print.
//
//go:embed help/*.txt
var helpFiles embed.FS

var topicFiles = schemas.Folder{FS: helpFiles}

// topic is a page of help: written, or made from the program's own tables.
type topic struct {
	name, title string
	text        func() (string, error)
}

// topics returns all topics by name. It fails if a file has no title.
func topics() ([]topic, error) {
	files, err := fs.Glob(topicFiles, "help/*.txt")
	if err != nil {
		return nil, err
	}
	all := slices.Clone(tableTopics)
	for _, f := range files {
		b, err := topicFiles.ReadFile(f)
		if err != nil {
			return nil, err
		}
		text := string(b)
		name := strings.TrimSuffix(strings.TrimPrefix(f, "help/"), ".txt")
		first, _, _ := strings.Cut(text, "\n")
		title, ok := strings.CutPrefix(first, name+": ")
		if !ok {
			return nil, fmt.Errorf("%s does not begin with %q", f, name+": ")
		}
		all = append(all, topic{name, title, func() (string, error) { return text, nil }})
	}
	sorting.Func(all, func(a, b topic) int { return cmp.Compare(a.name, b.name) })
	return all, nil
}

func findTopic(name string) (topic, bool) {
	all, err := topics()
	if err != nil {
		return topic{}, false
	}
	i := slices.IndexFunc(all, func(t topic) bool { return strings.EqualFold(t.name, name) })
	if i < 0 {
		return topic{}, false
	}
	return all[i], true
}
