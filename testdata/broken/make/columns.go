package main

import (
	"fmt"
	"strings"
)

const descriptor = "datapackage.json"

// dwcOrDC is the address of a term.
func dwcOrDC(name string) string {
	switch name {
	case "license", "references", "language":
		return "http://purl.org/dc/terms/" + name
	}
	return dwc + name
}

// column adds a column to the core, with a value for each row.
func column(term string, values ...string) func(map[string]string) {
	return func(files map[string]string) {
		lines := strings.Split(strings.TrimSuffix(files[core], "\n"), "\n")
		lines[0] += "," + term[strings.LastIndexByte(term, '/')+1:]
		for i, v := range values {
			if strings.ContainsAny(v, `",`) {
				v = `"` + strings.ReplaceAll(v, `"`, `""`) + `"`
			}
			lines[i+1] += "," + v
		}
		files[core] = strings.Join(lines, "\n") + "\n"
		files[meta] = strings.Replace(files[meta], "    <field term=", fmt.Sprintf("    <field index=\"8\" term=%q/>\n    <field term=", term), 1)
	}
}

func tabsInCore(files map[string]string) { files[core] = strings.ReplaceAll(files[core], ",", "\t") }

func plainLines(files map[string]string) {
	files[core] = strings.ReplaceAll(files[core], "\r\n", "\r")
}

// sameID gives every measurement an identifier, and two of them the same.
func sameID(files map[string]string) {
	lines := strings.Split(strings.TrimSuffix(files[facts], "\n"), "\n")
	for i, id := range []string{"measurementID", "m1", "m2", "m3", "m2"} {
		lines[i] += "," + id
	}
	files[facts] = strings.Join(lines, "\n") + "\n"
	files[meta] = strings.Replace(files[meta], "  </extension>", "  <field index=\"4\" term=\"http://rs.tdwg.org/dwc/terms/measurementID\"/>\n  </extension>", 1)
}

// changed is the first line in which two texts differ.
func changed(old, text string) int {
	a, b := strings.Split(old, "\n"), strings.Split(text, "\n")
	for i := range a {
		if i >= len(b) || a[i] != b[i] {
			return i + 1
		}
	}
	return len(a)
}
