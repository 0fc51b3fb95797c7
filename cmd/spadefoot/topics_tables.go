package main

import (
	"fmt"
	"strings"

	"spadefoot/mappings"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/schemas"
)

// tableTopics are the topics made from the tables that the program works with.
var tableTopics = []topic{
	{"rules", "every finding code, with its default level", rulesTopic},
	{"measurements", "every measurement that mappings may name", measurementsTopic},
	{"units", "every unit that can be read, by UCUM code", unitsTopic},
	{"keys", "every key of survey.yaml and of a mapping", keysTopic},
}

func rulesTopic() (string, error) {
	rules, err := schemas.Rules()
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString("rules: every finding code, with its default level\n\nspadefoot help CODE says what to do. rules.levels in survey.yaml changes the\nlevel of a rule or turns it off.\n\n")
	for _, r := range rules {
		fmt.Fprintf(&b, "%-8s %s\n", r.Level, r.Code)
		writeWrapped(&b, r.Summary, "         ")
	}
	return b.String(), nil
}

// ruleText says what one rule finds and what a person can do.
func ruleText(r schemas.Rule) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s, found in the stage %q\n\n", r.Code, r.Level, r.Stage)
	writeWrapped(&b, r.Summary, "")
	b.WriteByte('\n')
	writeWrapped(&b, r.Help, "")
	return b.String()
}

func measurementsTopic() (string, error) {
	var b strings.Builder
	b.WriteString("measurements: every measurement that mappings may name\n\n")
	for _, m := range vocabulary.Measurements() {
		fmt.Fprintf(&b, "%s (%s)\n", m.Name, m.Unit)
		writeWrapped(&b, strings.Join(m.Abbreviations, ", "), "    ")
		writeWrapped(&b, m.Definition, "    ")
	}
	return b.String(), nil
}

// unitRow is the part of a row of mappings/units.csv that people need.
type unitRow struct {
	Code      string           `csv:"code"`
	Dimension string           `csv:"dimension"`
	Symbols   vocabulary.Words `csv:"symbols"`
	Names     vocabulary.Words `csv:"names"`
}

func unitsTopic() (string, error) {
	var b strings.Builder
	b.WriteString("units: every unit that can be read, by UCUM code\n\nMappings and survey.yaml use the code; cells and headings may use any of the\nspellings.\n")
	dimension := ""
	for _, r := range schemas.Must(mappings.Table[unitRow]("units.csv")) {
		if r.Dimension != dimension {
			dimension = r.Dimension
			fmt.Fprintf(&b, "\n%s\n", dimension)
		}
		fmt.Fprintf(&b, "  %s\n", r.Code)
		writeWrapped(&b, strings.Join(append(r.Symbols, r.Names...), ", "), "      ")
	}
	return b.String(), nil
}

const wide = 80

// writeWrapped writes text in lines of at most 80 columns, each behind indent.
func writeWrapped(b *strings.Builder, text, indent string) {
	line := indent
	for _, word := range strings.Fields(text) {
		if len([]rune(line))+1+len([]rune(word)) > wide && line != indent {
			b.WriteString(line + "\n")
			line = indent
		}
		if line != indent {
			line += " "
		}
		line += word
	}
	if line != indent {
		b.WriteString(line + "\n")
	}
}
