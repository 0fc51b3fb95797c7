package pipeline_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

const slipsSurvey = `
dataset: {id: "https://example.org/slips", title: Slips, description: Frogs and slips., licence: CC0-1.0,
  published: 2024-10-01,
  creators: [{given: Ines, family: Varga, email: ines@example.org}], contacts: [{given: Ines, family: Varga, email: ines@example.org}]}
sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Place, term: locality}
    - {heading: Mark, term: organismID}
    - {heading: Species, term: scientificName}
    - {heading: Sex, term: sex}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, measurement: tibiaLength, unit: mm}
    - {heading: Head, measurement: headWidth, unit: mm}
    - {heading: Thigh, measurement: femurLength, unit: mm}
    - {heading: Foot, measurement: footLength, unit: mm}
`

// slips is a sheet of frogs in which two columns were exchanged in one row, a
// column slid down by one row from its 60th to its 69th, one animal was entered
// twice, and a word for the sex is known to nobody.
func slips(t *testing.T) string {
	t.Helper()
	draw := rand.New(rand.NewPCG(11, 4))
	rows := make([][]string, 120)
	for i := range rows {
		svl := math.Exp(4.1 + 0.2*draw.NormFloat64())
		near := func(share float64) string { return fmt.Sprintf("%.1f", svl*share*math.Exp(0.03*draw.NormFloat64())) }
		sex := []string{"M", "F"}[i%2]
		if i%40 == 7 {
			sex = "zz"
		}
		rows[i] = []string{fmt.Sprintf("MC24-%03d", i+1), fmt.Sprintf("2024-05-%02d", 1+i/10), "Tern Slough", fmt.Sprintf("T%d", i%100),
			"Lithobates pipiens", sex, fmt.Sprintf("%.1f", svl), near(0.58), near(0.33), near(0.5), near(0.75)}
		if i >= 100 { // the same animals, a little later
			copy(rows[i][6:], rows[i-100][6:])
			rows[i][5] = rows[i-100][5]
		}
	}
	rows[29][7], rows[29][8] = rows[29][8], rows[29][7]
	for i := 69; i > 59; i-- {
		rows[i][7] = rows[i-1][7]
	}
	rows[59][7] = ""
	twice := slices.Clone(rows[89])
	twice[0] = "MC24-121"
	rows = slices.Insert(rows, 90, twice)
	text := "No,Date,Place,Mark,Species,Sex,SVL,Tibia,Head,Thigh,Foot\n"
	for _, r := range rows {
		text += strings.Join(r, ",") + "\n"
	}
	dir := t.TempDir()
	write(t, filepath.Join(dir, "survey.yaml"), slipsSurvey)
	write(t, filepath.Join(dir, "frogs.csv"), text)
	return dir
}

// What is chosen in the workbook is done: two exchanged cells, values that slid
// and a word in many cells are one row each; a capture entered twice is left out
// and accounted for.
func TestDecideInTheWorkbook(t *testing.T) {
	ctx, dir, out := context.Background(), slips(t), t.TempDir()
	p, err := pipeline.Propose(ctx, dir, pipeline.ProposeOptions{Level: record.Warning}, pipeline.Options{})
	if err != nil || p.Beside != filepath.Join(dir, "remedies.xlsx") {
		t.Fatalf("%+v, %v", p, err)
	}
	book, err := excelize.OpenFile(p.Beside)
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	tab := book.GetSheetName(0)
	lines, err := book.GetRows(tab)
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, h := range lines[0] {
		at[h] = i
	}
	cell := func(l []string, heading string) string {
		if i := at[heading]; i < len(l) {
			return l[i]
		}
		return ""
	}
	actions := map[string]string{"columns-swapped": "replace", "rows-shifted": "replace", "word-unknown": "replace", "capture-twice": "drop", "capture-nearly-twice": "drop"}
	done := map[string]string{}
	for i, l := range lines[1:] {
		rule := cell(l, "rule")
		action := actions[rule]
		if action == "" {
			action = "confirm"
		}
		done[rule] += cell(l, "cells") + "/"
		set := func(heading string, value any) {
			name, _ := excelize.CoordinatesToCellName(at[heading]+1, i+2)
			if err := book.SetCellValue(tab, name, value); err != nil {
				t.Fatal(err)
			}
		}
		set("action", action)
		set("who", "I. Varga")
		set("when", time.Date(2024, 9, 2, 0, 0, 0, 0, time.UTC))
		set("why", "field book")
		if rule == "word-unknown" {
			set("replacement", "F")
		}
		if rule == "capture-twice" && (!strings.Contains(cell(l, "row of the sheet"), "Place: Tern Slough") || cell(l, "row") != "92") {
			t.Errorf("beside %s: %q", rule, l)
		}
	}
	for rule, cells := range map[string]string{"columns-swapped": "H31/", "word-unknown": "F49; F89; F110/", "capture-twice": "/"} {
		if done[rule] != cells {
			t.Errorf("%s: cells %q, want %q", rule, done[rule], cells)
		}
	}
	if done["rows-shifted"] != "H63:H70; H61/" {
		t.Errorf("all that was proposed: %q", done)
	}
	if err := book.Save(); err != nil {
		t.Fatal(err)
	}

	r, err := pipeline.Run(ctx, dir, out, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Level >= record.Warning {
			t.Errorf("left: %s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	if len(r.Captures) != 120 || r.Counts.Dropped != 1 || slices.ContainsFunc(r.Captures, func(c *record.Capture) bool { return c.Key == "MC24-121" }) {
		t.Errorf("%d captures, %d dropped", len(r.Captures), r.Counts.Dropped)
	}
	measured := func(key, measurement string) string {
		for _, c := range r.Captures {
			if c.Key == key {
				if m := c.Reading(measurement); m != nil {
					return m.Text
				}
			}
		}
		return ""
	}
	raw := rows(t, filepath.Join(dir, "frogs.csv"))
	if got := measured("MC24-030", "tibiaLength"); got != raw[29]["Head"] {
		t.Errorf("exchanged: %s, want %s", got, raw[29]["Head"])
	}
	for i := 60; i < 69; i++ {
		if got := measured(raw[i-1]["No"], "tibiaLength"); got != raw[i]["Tibia"] {
			t.Errorf("slid back, %s: %s, want %s", raw[i-1]["No"], got, raw[i]["Tibia"])
		}
	}
	var told struct {
		Remedies []struct{ Action, Capture, Written string }
		Cells    struct{ Read, Dropped int }
	}
	if err := json.Unmarshal([]byte(read(t, filepath.Join(out, "run.json"))), &told); err != nil {
		t.Fatal(err)
	}
	if told.Cells.Dropped != 11 {
		t.Errorf("%d cells set aside with the capture", told.Cells.Dropped)
	}
	if !slices.ContainsFunc(told.Remedies, func(r struct{ Action, Capture, Written string }) bool {
		return r.Action == "drop" && r.Capture == "MC24-121" && strings.HasPrefix(r.Written, "MC24-121 | 2024-05-09 | Tern Slough")
	}) {
		t.Errorf("the capture that was left out is not told of")
	}

	// The same decisions hold in parts.
	again, err := pipeline.Run(ctx, dir, t.TempDir(), pipeline.InParts(1, 64))
	if err != nil || again.Counts.Captures != 120 || again.Counts.Dropped != 1 {
		t.Errorf("in parts: %+v, %v", again, err)
	}
}

// What a program asks for as data, decides and hands in is what a person would
// write into the table.
func TestDecideAsData(t *testing.T) {
	ctx, dir := context.Background(), slips(t)
	all, err := pipeline.ProposalsOf(ctx, dir, record.Warning, pipeline.Options{})
	if err != nil || all.Given != 0 || len(all.Rows) < 4 {
		t.Fatalf("%+v, %v", all, err)
	}
	i := slices.IndexFunc(all.Rows, func(p remedy.Proposal) bool { return p.Rule == "columns-swapped" })
	p := all.Rows[i]
	if len(p.Also) != 1 || len(p.Row) != 11 || !p.Row[7].Doubtful || p.Row[0].Doubtful || p.Row[7].Heading != "Tibia" {
		t.Errorf("%+v", p)
	}
	d := p.Remedy
	d.Action, d.Who, d.When = remedy.Replace, "I. Varga", "2024-09-02"
	if err := pipeline.Decide(dir, []remedy.Remedy{d}, pipeline.Options{}); err == nil || !strings.Contains(err.Error(), "column why: is empty") {
		t.Errorf("without a reason: %v", err)
	}
	d.Why = "field book"
	if err := pipeline.Decide(dir, []remedy.Remedy{d}, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	again, err := pipeline.ProposalsOf(ctx, dir, record.Warning, pipeline.Options{})
	if err != nil || again.Given != 1 || again.Rows[0].Action != remedy.Replace || again.Rows[0].When != "2024-09-02" ||
		slices.ContainsFunc(again.Rows[1:], func(p remedy.Proposal) bool { return p.Rule == "columns-swapped" }) {
		t.Errorf("%+v, %v", again, err)
	}
}
