package findings

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// oddTexts are cells that a writer of CSV or JSON can trip over.
var oddTexts = []string{"", " ", " a", "a ", "a,b", `a"b`, `"`, `""`, "a\nb", "a\r\nb", "\r", `\.`, `\.x`, "\t", "\v", "\u00a0x", "\u0085", "\u2028", "\u3000a", "é", "57,5 µm",
	"<b>&amp;</b>", "a\\b", "\x00\x01\x1f\x7f", "\xff\xfe", "𝔸", strings.Repeat("x", 300)}

// oddFindings have every odd text in every place.
func oddFindings() []record.Finding {
	numbers := []float64{0, math.Copysign(0, -1), 1, -2.5, 1e-7, -3.25e-9, 1e-6, 1e20, 1e21, 6.02214076e23, 5e-324, math.MaxFloat64, 1.0 / 3}
	var fs []record.Finding
	for i, text := range oddTexts {
		at := func(k int) string { return oddTexts[(i+k)%len(oddTexts)] }
		f := record.Finding{Rule: at(1), Level: record.Level(1 + i%3), At: record.Address{File: text, Sheet: at(2), Row: i % 4, Column: i % 3 * 400},
			Capture: at(3), Field: at(4), Value: at(5), Reason: at(6), Suggestion: at(7), Group: at(8), Reference: at(9)}
		for k := range i % 4 {
			f.Also = append(f.Also, record.Address{File: at(10 + k), Sheet: at(11 + k), Row: k % 2 * 7, Column: k})
			f.Figures = append(f.Figures, record.Figure{Name: at(12 + k), Value: numbers[(i+k)%len(numbers)]})
		}
		fs = append(fs, f)
	}
	return fs
}

func TestFindingsCSVIsThatOfEncodingCSV(t *testing.T) {
	var want, got bytes.Buffer
	w := csv.NewWriter(&want)
	_ = w.Write(strings.Split("level,rule,file,sheet,row,column,capture,field,value,reason,suggestion,group,figures,also,reference", ","))
	for _, f := range oddFindings() {
		var figures, also []string
		for _, g := range f.Figures {
			figures = append(figures, g.Name+"="+figureText(g.Value))
		}
		for _, a := range f.Also {
			also = append(also, a.String())
		}
		row, column := "", ""
		if f.At.Row > 0 {
			row = string(json.Number(figureText(float64(f.At.Row))))
		}
		if f.At.Column > 0 {
			column = record.ColumnLetters(f.At.Column)
		}
		cells := []string{f.Level.String(), f.Rule, f.At.File, f.At.Sheet, row, column, f.Capture, f.Field, f.Value, f.Reason, f.Suggestion, f.Group,
			strings.Join(figures, "; "), strings.Join(also, "; "), f.Reference}
		for i := range cells {
			cells[i] = lines.Defused(cells[i])
		}
		_ = w.Write(cells)
	}
	w.Flush()
	if err := EachCSV(&got, slices.Values(oddFindings())); err != nil {
		t.Fatal(err)
	}
	if got.String() != want.String() {
		t.Errorf("got\n%s\nwant\n%s", got.String(), want.String())
	}
	if back, err := csv.NewReader(&got).ReadAll(); err != nil || len(back) != 1+len(oddTexts) {
		t.Errorf("%d lines read back, want a heading and %d: %v", len(back), len(oddTexts), err)
	}
}

func figureText(v float64) string {
	return strings.TrimPrefix(string(appendFigures(nil, []record.Figure{{Value: v}})), "=")
}

func TestFindingsJSONIsThatOfEncodingJSON(t *testing.T) {
	for _, fs := range [][]record.Finding{oddFindings(), oddFindings()[:1], {}, nil} {
		var want, got bytes.Buffer
		enc := json.NewEncoder(&want)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", " ")
		if err := enc.Encode(struct {
			Counts   Counts           `json:"counts"`
			Findings []record.Finding `json:"findings"`
		}{Count(fs), append([]record.Finding{}, fs...)}); err != nil {
			t.Fatal(err)
		}
		if err := JSON(&got, fs); err != nil {
			t.Fatal(err)
		}
		if got.String() != want.String() {
			t.Errorf("got\n%s\nwant\n%s", got.String(), want.String())
		}
	}
	none := []record.Finding{{Figures: []record.Figure{{Name: "n", Value: math.NaN()}}}}
	if err := JSON(&bytes.Buffer{}, none); err == nil {
		t.Error("a figure that is not a number was written")
	}
}
