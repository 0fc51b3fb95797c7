package edition

import (
	"maps"
	"slices"

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
	for _, name := range slices.Sorted(maps.Keys(e.inputs)) {
		sum, there := before.inputs[name]
		switch {
		case !there:
			c.FilesNew = append(c.FilesNew, name)
		case sum != e.inputs[name] && sum != "" && e.inputs[name] != "":
			c.FilesOld = append(c.FilesOld, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(before.inputs)) {
		if _, there := e.inputs[name]; !there {
			c.FilesGone = append(c.FilesGone, name)
		}
	}
	c.captures(before.captures, e.captures)
	c.findings(before, e)
	return c
}

// captures compares captures, both sorted by identifier.
func (c *Changes) captures(before, now captures) {
	was := before.all
	for _, is := range now.all {
		for len(was) > 0 && was[0].id < is.id {
			c.Gone++
			was = was[1:]
		}
		if len(was) == 0 || was[0].id != is.id {
			c.Added[now.files[is.file]]++
			continue
		}
		if was[0].cells != is.cells {
			c.Altered++
		}
		was = was[1:]
	}
	c.Gone += len(was)
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
