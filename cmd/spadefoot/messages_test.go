package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"

	"github.com/xuri/excelize/v2"
)

var updateMessages = flag.Bool("update-messages", false, "write testdata/golden/messages.txt anew")

// faulty is one thing that is wrong in a survey folder s, and the call that
// meets it.
type faulty struct {
	what string
	do   func(t *testing.T)
	args string
}

func faults() []faulty {
	edit := func(name, old, new string) func(*testing.T) {
		return func(t *testing.T) {
			text := read(t, name)
			if !bytes.Contains(text, []byte(old)) {
				t.Fatalf("%s does not hold %q", name, old)
			}
			save(t, name, bytes.Replace(text, []byte(old), []byte(new), 1))
		}
	}
	put := func(name, text string) func(*testing.T) {
		return func(t *testing.T) { save(t, name, []byte(text)) }
	}
	drop := func(name string) func(*testing.T) {
		return func(t *testing.T) {
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
	}
	folder := func(name string) func(*testing.T) {
		return func(t *testing.T) {
			_ = os.Remove(name) // it need not be there
			if err := os.Mkdir(name, 0o755); err != nil {
				t.Fatal(err)
			}
		}
	}
	copied := func(from, to string) func(*testing.T) {
		return func(t *testing.T) { save(t, to, read(t, from)) }
	}
	nothing := func(*testing.T) {}
	all := func(some ...func(*testing.T)) func(*testing.T) {
		return func(t *testing.T) {
			for _, do := range some {
				do(t)
			}
		}
	}
	const survey, mapping, book = "s/survey.yaml", "s/frogs-2019-2019.yaml", "s/frogs-2019.xlsx"
	return []faulty{
		{"a tab in YAML", put(survey, "dataset:\n\ttitle: Frogs\n"), "check s"},
		{"YAML that is not closed", edit(mapping, "headings:", "headings: ["), "check s"},
		{"a file that is no survey", put(survey, "name: a\ncolour: red\n"), "check s"},
		{"a mapping in the place of a survey", copied(mapping, survey), "check s"},
		{"a survey in the place of a mapping", copied(survey, mapping), "check s"},
		{"a survey that says nothing", put(survey, ""), "check s"},
		{"a survey in another encoding", put(survey, "\xff\xfe\x00"), "check s"},
		{"a key that is misspelled", edit(survey, "instruments:", "instrument:"), "check s"},
		{"a time zone that nobody knows", edit(survey, "America/Toronto", "Ontario"), "check s"},
		{"a day that is not in the calendar", edit(survey, "dataset:", "dataset:\n  published: 2019-02-29"), "check s"},
		{"a day of publication in the call that is not in the calendar", nothing, "check s --published 2019-13-01"},
		{"a day of publication in another form", nothing, "check s --published yesterday"},
		{"an address that is none", edit(survey, "dataset:", "dataset:\n  url: https://marrow creek.invalid"), "run s --out out"},
		{"a value of another kind", edit(mapping, "key: [recordNumber]", "key: recordNumber"), "check s"},
		{"a measurement that nobody knows", edit(mapping, "tibiaLength", "tibia"), "check s"},
		{"no survey.yaml", drop(survey), "check s"},
		{"no such folder", nothing, "check elsewhere"},
		{"a file in the place of the folder", nothing, "check s/survey.yaml"},
		{"no mapping", drop(mapping), "check s"},
		{"no sheet", drop(book), "check s"},
		{"a folder in the place of a sheet", folder(book), "check s"},
		{"text in the place of a workbook", put(book, "hello"), "check s"},
		{"an empty sheet", put(book, ""), "check s"},
		{"a workbook that is cut short", func(t *testing.T) { save(t, book, read(t, book)[:3000]) }, "check s"},
		{"a workbook with a password", func(t *testing.T) {
			f := excelize.NewFile()
			defer f.Close()
			if err := f.SaveAs(book, excelize.Options{Password: "marrow"}); err != nil {
				t.Fatal(err)
			}
		}, "check s"},
		{"no such tab", edit(survey, `tabs: ["2019"]`, `tabs: ["2020"]`), "check s"},
		{"a second colon", edit(survey, "title:", "title: Frogs: a study #"), "check s"},
		{"a checklist with a quotation mark left open", edit("s/checklist.csv", "Lithobates pipiens,", "\"Lithobates pipiens,"), "check s"},
		{"no checklist", drop("s/checklist.csv"), "check s"},
		{"a checklist without its heading", edit("s/checklist.csv", "scientificName,", "scientific,"), "check s"},
		{"a checklist with a quotation mark too many", edit("s/checklist.csv", "Lithobates pipiens,", "Lithobates \"pipiens,"), "check s"},
		{"a folder in the place of the remedies", folder("s/remedies.csv"), "check s"},
		{"remedies without a column", edit("s/remedies.csv", "action", "deed"), "check s"},
		{"a remedy for a text that is not there", edit("s/remedies.csv", "6.91", "6.19"), "check s"},
		{"remedies in an encoding that is not read", put("s/remedies.csv", "\xff\xfe\x00\x00f\x00\x00\x00i\x00\x00\x00"), "check s"},
		{"remedies that are no table", put("s/remedies.csv", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), "check s"},
		{"remedies with an action that nobody knows", edit("s/remedies.csv", ",replace,", ",change,"), "check s"},
		{"remedies without who decided", edit("s/remedies.csv", "I. Varga", ""), "check s"},
		{"a workbook of remedies that is cut short", put("s/remedies.xlsx", "PK\x03\x04"), "check s"},
		{"a table of sensitive taxa with a name that matches nothing", all(put("s/sensitive.csv", "taxon,grid,reason\nRana nusquam,0.1,collecting\n"), edit(survey, "sites: sites.csv", "sites: sites.csv, sensitive: sensitive.csv")), "check s"},
		{"a sheet that leads out of the folder", edit(survey, "file: frogs-2019.xlsx", "file: ../frogs-2019.xlsx"), "check s"},
		{"a link that leads out of the folder", all(drop(book), func(t *testing.T) {
			save(t, "elsewhere.xlsx", []byte("PK"))
			if err := os.Symlink("../elsewhere.xlsx", book); err != nil {
				t.Fatal(err)
			}
		}), "check s"},
		{"a picture in the place of a sheet", all(put("s/frogs.csv", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), edit(survey, `frogs-2019.xlsx, tabs: ["2019"]`, "frogs.csv")), "check s"},
		{"a cell that is larger than the budget", all(put("s/frogs.csv", "Field No,Date\n"+strings.Repeat("x", 300000)+",2019-05-01\n"), edit(survey, `frogs-2019.xlsx, tabs: ["2019"]`, "frogs.csv")), "check s"},
		{"a table of sites that names one place twice", edit("s/sites.csv", "Mill Ditch,", "Alder Pond,"), "check s"},
		{"two columns for one part of a weighing", edit(mapping, "weighing: tare,", "weighing: gross,"), "check s"},
		{"a pattern that is none", edit(mapping, "heading: SVL (mm)", "pattern: '(SVL'"), "check s"},
		{"findings written over a sheet", nothing, "check s --sarif " + book},
		{"exact places without a table of sensitive taxa", nothing, "run s --out out --exact-places exact.csv"},
		{"a memory that is no number", nothing, "check s --memory much"},
		{"two folders", nothing, "check s s"},
		{"no folder at all", nothing, "check"},
		{"a topic that nobody wrote", nothing, "help frogs"},
		{"remedies written over the survey", nothing, "remedies s --out " + survey},
		{"an output folder in the survey folder", nothing, "run s --out s/out"},
		{"the survey folder as output folder", nothing, "run s --out s"},
		{"a file in the place of the output folder", put("taken", ""), "run s --out taken"},
		{"no folder for a file of findings", nothing, "check s --sarif nowhere/f.sarif"},
		{"no earlier run", nothing, "run s --out out --since s"},
		{"no known findings", nothing, "check s --known known.json"},
		{"known findings in the place of a folder", nothing, "check s --write-known " + survey + "/known.json"},
		{"known findings over another file", nothing, "check s --write-known " + survey},
		{"no output folder", nothing, "run s"},
		{"a port that no machine has", nothing, "desk s --port 99999"},
		{"an address of another machine", nothing, "desk s --no-browser --listen 192.0.2.1:8080"},
		{"a shell that nobody knows", nothing, "completion klingon"},
		{"no such verb", nothing, "chekc s"},
		{"no such flag", nothing, "check s --fial-on error"},
		{"a word that a flag does not take", nothing, "check s --format xml"},
		{"a draft of nothing", nothing, "draft nothing.csv --out d"},
		{"a draft over what is there", nothing, "draft " + book + " --out s"},
		{"a draft of a folder without sheets", folder("s/pages"), "draft s/pages --out d"},
		{"forms over what is there", nothing, "forms s --out s"},
		{"no archive", nothing, "prove nothing.zip"},
		{"an archive that is none", put("text.zip", "hello"), "prove text.zip"},
	}
}

// What people are told in exit codes 2 to 4 is in one table for a person to
// read. None of it is what the system says as it is, and each says what to do.
func TestMessages(t *testing.T) {
	root, err := filepath.Abs(filepath.Join("..", "..", "testdata"))
	if err != nil {
		t.Fatal(err)
	}
	raw := regexp.MustCompile(`\b(open|read|stat|lstat) \S+: |no such file or directory|is a directory|permission denied|<nil>|%!`)
	var table strings.Builder
	for _, f := range faults() {
		t.Chdir(t.TempDir())
		if err := os.CopyFS("s", os.DirFS(filepath.Join(root, "first-season", "decided"))); err != nil {
			t.Fatal(err)
		}
		save(t, "s/frogs-2019.xlsx", read(t, filepath.Join(root, "first-season", "frogs-2019.xlsx")))
		table.WriteString(messageOf(t, f, raw))
	}
	golden := filepath.Join(root, "golden", "messages.txt")
	if *updateMessages {
		if err := os.WriteFile(golden, []byte(table.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if want := read(t, golden); string(want) != table.String() {
		was, is := strings.Split(string(want), "\n"), strings.Split(table.String(), "\n")
		for i := range min(len(was), len(is)) {
			if was[i] != is[i] {
				t.Fatalf("line %d of testdata/golden/messages.txt is\n%s\nand now\n%s\ngo test ./cmd/spadefoot -run Messages -args -update-messages writes it anew, for reading", i+1, was[i], is[i])
			}
		}
		t.Fatal("testdata/golden/messages.txt has another length")
	}
}

// messageOf is the part of the table on one fault.
func messageOf(t *testing.T, f faulty, raw *regexp.Regexp) string {
	t.Helper()
	f.do(t)
	args := strings.Fields(f.args)
	code, _, stderr := called(args...)
	if code < exitCall || code > exitOutput {
		t.Errorf("%s: exit code %d: %s", f.what, code, stderr)
	}
	if found := raw.FindString(stderr); found != "" {
		t.Errorf("%s: %q is what the system says: %s", f.what, found, stderr)
	}
	if !strings.ContainsAny(stderr, ";(") && !strings.Contains(stderr, "--out DIR") {
		t.Errorf("%s: no next step: %s", f.what, stderr)
	}
	return fmt.Sprintf("== %s: spadefoot %s\n%d %s\n", f.what, f.args, code, strings.ReplaceAll(strings.TrimSpace(stderr), "spadefoot: ", ""))
}

// What the system says of a file is put into words.
func TestWordsForTheSystem(t *testing.T) {
	for _, c := range []struct {
		of   error
		want string
	}{
		{&fs.PathError{Op: "open", Path: "a.csv", Err: syscall.EACCES}, "reading: a.csv: you are not allowed to open it; "},
		{&fs.PathError{Op: "write", Path: "out/a.csv", Err: syscall.ENOSPC}, "reading: out/a.csv: the disk is full; "},
		{&fs.PathError{Op: "open", Path: "a/b", Err: syscall.ENOTDIR}, "reading: a/b: part of this path is a file"},
		{&fs.PathError{Op: "open", Path: "a", Err: errors.New("odd")}, "reading: a: odd; check"},
		{context.Canceled, "reading: interrupted; earlier output is intact"},
	} {
		if got := inWords(fmt.Errorf("reading: %w", c.of)); !strings.HasPrefix(got, c.want) {
			t.Errorf("%v: %q, want %q", c.of, got, c.want)
		}
	}
}
