package edition

import (
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Changes are the differences between two runs over one survey.
type Changes struct {
	Since     string // folder of the earlier run
	FilesNew  []string
	FilesOld  []string // read again, with other contents
	FilesGone []string
	Veiled    bool // places are withheld now: what the earlier run said of captures may tell one, and which files changed is not known

	Added   map[string]int // captures by file
	Altered int            // captures of which something else was written
	Gone    int

	FindingsNew     []record.Finding
	FindingsGone    []record.Finding
	FindingsChanged []record.Finding // as they are now: of another level, or with another suggestion
}

// None reports whether nothing changed.
func (c *Changes) None() bool {
	return len(c.FilesNew)+len(c.FilesOld)+len(c.FilesGone)+len(c.Added)+c.Altered+c.Gone+
		len(c.FindingsNew)+len(c.FindingsGone)+len(c.FindingsChanged) == 0
}

// Since compares this run with an earlier one.
func (e *Edition) Since(before *Edition) Changes {
	c := Changes{Since: before.Dir, Added: map[string]int{}, Veiled: e.withheld}
	for _, name := range slices.Sorted(maps.Keys(e.files)) {
		sum, there := before.files[name]
		switch {
		case !there:
			c.FilesNew = append(c.FilesNew, name)
		case sum != e.files[name] && sum != "" && e.files[name] != "":
			c.FilesOld = append(c.FilesOld, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(before.files)) {
		if _, there := e.files[name]; !there {
			c.FilesGone = append(c.FilesGone, name)
		}
	}
	for id, now := range e.captures {
		was, there := before.captures[id]
		switch {
		case !there:
			c.Added[now.file]++
		case !sameCells(was.cells, now.cells):
			c.Altered++
		}
	}
	for id := range before.captures {
		if _, there := e.captures[id]; !there {
			c.Gone++
		}
	}
	c.findings(before, e)
	return c
}

// sameCells compares two captures. A column "… as written" that only one of
// the two tables has came with other captures and says nothing of this one.
func sameCells(a, b map[string]string) bool {
	within := func(a, b map[string]string) bool {
		for h, text := range a {
			other, there := b[h]
			if there && other != text || !there && !strings.HasSuffix(h, " as written") {
				return false
			}
		}
		return true
	}
	return within(a, b) && within(b, a)
}

func (c *Changes) findings(before, now *Edition) {
	was := map[string]int{}
	for i, id := range before.ids {
		was[id.Fingerprint()] = i
	}
	for i, id := range now.ids {
		p := id.Fingerprint()
		f := now.findings[i]
		old, there := was[p]
		delete(was, p)
		switch {
		case !there:
			c.FindingsNew = append(c.FindingsNew, f)
		case before.findings[old].Level != f.Level || before.findings[old].Suggestion != f.Suggestion:
			c.FindingsChanged = append(c.FindingsChanged, f)
		}
	}
	for _, i := range slices.Sorted(maps.Values(was)) {
		c.FindingsGone = append(c.FindingsGone, before.findings[i])
	}
}
