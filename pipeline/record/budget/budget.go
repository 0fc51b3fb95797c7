// Package budget limits what reading one input may take. A file of a few
// kilobytes can demand gigabytes: a row repeated a million times, a text shared
// by thousands of cells, a list of lists of lists. Each limit is far above what
// people write by hand, is counted while a file is parsed, and can be raised by
// anyone who trusts the file.
package budget

import (
	"fmt"
	"os"
	"strconv"
	"strings"
)

// Budgets are the bounds. The json names are the keys below budgets in
// survey.yaml. Zero stands for the usual bound.
type Budgets struct {
	Cells    int `json:"cells"`    // of a workbook, or of a text file that is held whole; blank ones in between count
	Repeated int `json:"repeated"` // cells of a workbook that stand there by a count of repetitions
	Columns  int `json:"columns"`  // cells of one row that hold something
	Text     int `json:"text"`     // bytes of all cells of a workbook; a text that many share counts for each
	Cell     int `json:"cell"`     // bytes of one cell
	Unpacked int `json:"unpacked"` // bytes that a packed workbook comes to
	Nodes    int `json:"nodes"`    // keys, values and lists of survey.yaml or a mapping, aliases written out; elements of a file of XML
	Lines    int `json:"lines"`    // of a text file, those that hold something
	Rows     int `json:"rows"`     // lines of a table that survey.yaml names beside the sheets: checklist, sites, bags, limits, specimens
	Fields   int `json:"fields"`   // columns that meta.xml or datapackage.json describe
}

// usual is what holds where nobody says otherwise.
var usual = Budgets{
	Cells:    5_000_000,
	Repeated: 100_000,
	Columns:  2_000,
	Text:     64 << 20,
	Cell:     1 << 18,
	Unpacked: 256 << 20,
	Nodes:    200_000,
	Lines:    20_000_000,
	Rows:     500_000,
	Fields:   10_000,
}

// variables is what the names of environment variables begin with.
const variables = "SPADEFOOT_BUDGETS_"

// Usual returns the usual budgets, or what the environment has in their place.
func Usual() Budgets { return Budgets{}.OrUsual() }

// OrUsual fills in what is not set.
func (b Budgets) OrUsual() Budgets {
	u := usual
	for _, one := range []struct {
		key       string
		mine, its *int
	}{
		{Cells, &b.Cells, &u.Cells}, {Repeated, &b.Repeated, &u.Repeated}, {Columns, &b.Columns, &u.Columns}, {Text, &b.Text, &u.Text},
		{Cell, &b.Cell, &u.Cell}, {Unpacked, &b.Unpacked, &u.Unpacked}, {Nodes, &b.Nodes, &u.Nodes}, {Lines, &b.Lines, &u.Lines}, {Rows, &b.Rows, &u.Rows}, {Fields, &b.Fields, &u.Fields},
	} {
		if *one.mine > 0 {
			continue
		}
		*one.mine = *one.its
		if n, err := strconv.Atoi(os.Getenv(Variable(one.key))); err == nil && n > 0 {
			*one.mine = n
		}
	}
	return b
}

// The keys of the budgets.
const (
	Cells    = "cells"
	Repeated = "repeated"
	Columns  = "columns"
	Text     = "text"
	Cell     = "cell"
	Unpacked = "unpacked"
	Nodes    = "nodes"
	Lines    = "lines"
	Rows     = "rows"
	Fields   = "fields"
)

// Variable returns the name of the environment variable that sets a budget.
func Variable(key string) string { return variables + strings.ToUpper(key) }

// Advice says how to raise a budget that survey.yaml may name.
func Advice(key string) string {
	return fmt.Sprintf("if you trust the file, raise budgets.%s in survey.yaml or %s in the environment", key, Variable(key))
}

// AdviceWithoutSurvey says how to raise a budget of what is read before
// survey.yaml, or without it.
func AdviceWithoutSurvey(key string) string {
	return fmt.Sprintf("if you trust the file, raise %s in the environment", Variable(key))
}

// Exceeded says that a file asks for more than its budget.
type Exceeded struct {
	File string
	Key  string // of the budget
	What string // what there is too much of, with the bound
}

// Error names the file, the budget and what raises it.
func (e *Exceeded) Error() string {
	return fmt.Sprintf("%s: %s; %s", e.File, e.What, AdviceWithoutSurvey(e.Key))
}
