package desk_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// springRow is a row of the demo's spring form: cells by column.
func springRow(n int, more map[int]string) []string {
	cells := []string{fmt.Sprintf("MC24-%03d", n), "2024-06-20", "", "Tern Slough", "LISY", "M", "adult", "47.3", "25.3", "16.0", "5.8", "3.5", "14.5", "4.5", "I. Varga", "", "", "", ""}
	for i, text := range more {
		cells[i] = text
	}
	return cells
}

// reply is what the page gets back.
type reply struct {
	Kept      bool
	Number, N int
	Next      []string
	Doubts    []struct {
		Column     int
		Says, More string
	}
	Warning string
}

// sendRow sends a row as the page's script does.
func sendRow(t *testing.T, d http.Handler, path string, row map[string]any) (reply, int) {
	t.Helper()
	body, err := json.Marshal(row)
	if err != nil {
		t.Fatal(err)
	}
	r := request(http.MethodPost, path, nil, func(r *http.Request) {
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("X-Desk-Secret", secret)
	})
	again := httptest.NewRequest(http.MethodPost, r.URL.String(), bytes.NewReader(body))
	again.Header = r.Header
	w := ask(d, again)
	var a reply
	if w.Code == http.StatusOK {
		if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil {
			t.Fatalf("%s: %v", w.Body, err)
		}
	}
	return a, w.Code
}

func rowID(n int) string { return fmt.Sprintf("%032x", n) }

// typedFile are the lines of a file of typed rows.
func typedFile(t *testing.T, folder, name string) [][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, "typed", name))
	if err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("%v in:\n%s", err, text)
	}
	return lines
}

// A row that is kept can be changed: the others stay byte for byte, what it was is
// kept beside, its own number is no doubt, and a change on what somebody else has
// changed is not written.
func TestAKeptRowIsChanged(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	for n := 1; n <= 3; n++ {
		if a, _ := sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(n), "cells": springRow(900+n, nil)}); !a.Kept {
			t.Fatalf("row %d is not kept: %+v", n, a)
		}
	}
	if _, err := d.Survey(t.Context()); err != nil { // the numbers are known
		t.Fatal(err)
	}
	body := page(t, d, "/type-in?form=spring&row="+rowID(2))
	if !strings.Contains(body, `value="MC24-902"`) || !strings.Contains(body, "Row 3 of") {
		t.Errorf("the row:\n%s", excerpt(body))
	}
	was := typedFile(t, folder, "spring.csv")
	change := map[string]any{"form": "spring", "row": rowID(2), "cells": springRow(902, map[int]string{7: "48.1"}), "was": hidden(t, body, "was")}
	a, status := sendRow(t, d, "/type-in/keep", change)
	if !a.Kept || a.Number != 3 || a.N != 3 {
		t.Fatalf("status %d, %+v", status, a)
	}
	now := typedFile(t, folder, "spring.csv")
	if len(now) != 4 || now[2][7] != "48.1" || now[2][18] != rowID(2) || !slices.Equal(now[1], was[1]) || !slices.Equal(now[3], was[3]) {
		t.Errorf("the file: %q", now)
	}
	if before, err := os.ReadFile(filepath.Join(folder, "typed", "spring-before.txt")); err != nil || !strings.Contains(string(before), "47.3") {
		t.Errorf("what it was: %q, %v", before, err)
	}
	if _, status := sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(3), "cells": springRow(904, nil)}); status != http.StatusConflict {
		t.Errorf("another row under the identifier of a kept one: status %d", status)
	}
	change["cells"] = springRow(902, map[int]string{7: "46.0"})
	if _, status := sendRow(t, d, "/type-in/keep", change); status != http.StatusConflict || typedFile(t, folder, "spring.csv")[2][7] != "48.1" {
		t.Errorf("written over a row that had changed: status %d", status)
	}
	if w := ask(d, request(http.MethodGet, "/type-in?form=spring&row="+rowID(9), nil, nil)); w.Code != http.StatusNotFound {
		t.Errorf("a row that is not there: status %d", w.Code)
	}
}

// A row without doubt is kept at once, one with a doubt when a person says so,
// and a row that is sent twice is kept once. A run reads them with no further
// work.
func TestRowsAreKept(t *testing.T) {
	folder := demo(t)
	before, err := os.ReadFile(filepath.Join(folder, "survey.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	d := open(t, folder)
	a, _ := sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(1), "cells": springRow(901, nil)})
	if !a.Kept || a.Number != 2 || a.N != 1 || a.Next[0] != "MC24-902" || a.Next[3] != "Tern Slough" || a.Next[4] != "" || a.Warning != "" {
		t.Errorf("the first row: %+v", a)
	}
	slip := map[string]any{"form": "spring", "row": rowID(2), "cells": springRow(902, map[int]string{8: "253"})}
	if a, _ = sendRow(t, d, "/type-in/keep", slip); a.Kept || len(a.Doubts) == 0 || a.Doubts[0].Column != 8 {
		t.Errorf("a slip: %+v", a)
	}
	slip["confirmed"] = true
	for range 2 {
		if a, _ = sendRow(t, d, "/type-in/keep", slip); !a.Kept || a.Number != 3 {
			t.Errorf("a slip that was confirmed: %+v", a)
		}
	}
	lines := typedFile(t, folder, "spring.csv")
	if len(lines) != 3 || lines[1][17] != "" || !strings.HasPrefix(lines[2][17], "checked and kept: Tibia length 253") || lines[2][8] != "253" {
		t.Errorf("the file: %q", lines)
	}
	after, err := os.ReadFile(filepath.Join(folder, "survey.yaml"))
	if err != nil || !bytes.HasPrefix(after, before) || !strings.Contains(string(after[len(before):]), "file: typed/spring.csv") {
		t.Errorf("survey.yaml was changed beyond its list of sheets: %v\n%s", err, after)
	}
	r, err := pipeline.Check(context.Background(), folder, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if i := slices.IndexFunc(r.Captures, func(c *record.Capture) bool { return c.Key == "MC24-901" }); r.Counts.Captures != 242 || i < 0 || r.Captures[i].Reading("bodyMass").Text != "10.0" {
		t.Errorf("%d captures, MC24-901 is at %d", r.Counts.Captures, i)
	}
	for _, f := range r.Findings {
		if f.Rule == "heading-unmatched" && f.At.File == "typed/spring.csv" {
			t.Errorf("a heading has no meaning: %+v", f)
		}
	}
}

// A typed file that a crash cut off goes on; what was cut off is beside it.
func TestATornRowIsPutAside(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(1), "cells": springRow(901, nil)})
	name := filepath.Join(folder, "typed", "spring.csv")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, append(text, "MC24-902,2024-06-20,,Tern Sl"...), 0o644); err != nil {
		t.Fatal(err)
	}
	a, _ := sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(2), "cells": springRow(902, nil)})
	if lines := typedFile(t, folder, "spring.csv"); !a.Kept || len(lines) != 3 || lines[2][0] != "MC24-902" {
		t.Errorf("%+v, %q", a, lines)
	}
	if torn, err := os.ReadFile(filepath.Join(folder, "typed", "spring-torn.txt")); err != nil || string(torn) != "MC24-902,2024-06-20,,Tern Sl\n" {
		t.Errorf("beside it: %q, %v", torn, err)
	}
}

// A file that somebody changed is not written over: other headings are refused,
// and the page begins a new file.
func TestAFileWithOtherHeadingsIsLeftAlone(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(1), "cells": springRow(901, nil)})
	name := filepath.Join(folder, "typed", "spring.csv")
	if err := os.WriteFile(name, []byte("No;SVL\n1;57\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, code := sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(2), "cells": springRow(902, nil)}); code != http.StatusConflict {
		t.Errorf("status %d", code)
	}
	if text, _ := os.ReadFile(name); string(text) != "No;SVL\n1;57\n" {
		t.Errorf("the file holds %q", text)
	}
}

// Without a script the form is sent as a whole: a doubt comes back with the row
// as it was typed, and a second button keeps it.
func TestTypingWithoutAScript(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	form := url.Values{"secret": {secret}, "form": {"spring"}, "row": {rowID(1)}}
	for i, c := range springRow(901, map[int]string{12: "131"})[:17] {
		form.Set(fmt.Sprint("c", i), c)
	}
	w := ask(d, request(http.MethodPost, "/type-in", form, nil))
	if body := w.Body.String(); w.Code != http.StatusOK || !strings.Contains(body, "Not kept yet") || !strings.Contains(body, `value="131"`) || !strings.Contains(body, `aria-invalid="true"`) {
		t.Fatalf("status %d\n%s", w.Code, body)
	}
	form.Set("confirmed", "yes")
	w = ask(d, request(http.MethodPost, "/type-in", form, nil))
	if to := w.Header().Get("Location"); w.Code != http.StatusSeeOther || !strings.HasPrefix(to, "/type-in?form=spring") {
		t.Fatalf("status %d, on to %q: %s", w.Code, to, w.Body)
	}
	if lines := typedFile(t, folder, "spring.csv"); len(lines) != 2 || lines[1][12] != "131" || lines[1][17] == "" {
		t.Errorf("%q", lines)
	}
}

func TestRowsThatAreNone(t *testing.T) {
	d := open(t, demo(t))
	for what, row := range map[string]map[string]any{
		"no such form":       {"form": "winter", "row": rowID(1), "cells": springRow(1, nil)},
		"too few cells":      {"form": "spring", "row": rowID(1), "cells": []string{"MC24-901"}},
		"no identifier":      {"form": "spring", "row": "../x", "cells": springRow(1, nil)},
		"nothing in the row": {"form": "spring", "row": rowID(1), "cells": make([]string, 19)},
	} {
		if a, code := sendRow(t, d, "/type-in/keep", row); code < 400 || code > 499 || a.Kept {
			t.Errorf("%s: status %d, %+v", what, code, a)
		}
	}
}

// The form offers the words of the checklist, the sites, the people and the bags.
func TestTheFormOffersWords(t *testing.T) {
	d := open(t, demo(t))
	for form, words := range map[string][]string{"spring": {"LISY", "Tern Slough", "Ines Varga", "adult"}, "june": {"LISY", "Tern Slough", "Ines Varga", "B2"}} {
		body := page(t, d, "/type-in?form="+form)
		for _, word := range words {
			if !strings.Contains(body, `<option value="`+word+`"`) {
				t.Errorf("the form %s does not offer %s", form, word)
			}
		}
	}
}
