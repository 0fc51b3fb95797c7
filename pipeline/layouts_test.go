package pipeline_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record/need"
)

// pageOf is a sheet to be written: rows of texts.
type pageOf [][]string

func (p *pageOf) add(cells ...string) { *p = append(*p, cells) }

// caught is one capture as texts. Every text is written as it is published, so
// that nothing in the archive has to name the cell that it came from.
type caught struct {
	number, date, site, species, sex, svl, tibia, gross, bag string
	again                                                    [2]string // the second and third reading of the length
}

var caughtColumns = []string{"Field No", "Date", "Site", "Species", "Sex", "SVL (mm)", "Tibia (mm)", "Gross (g)", "Bag (g)"}

func (c caught) row() []string {
	return []string{c.number, c.date, c.site, c.species, c.sex, c.svl, c.tibia, c.gross, c.bag}
}

// catch invents captures, ordered by site and date as a book is.
func catch(rng *rand.Rand) []caught {
	var out []caught
	sites := []string{"Otter Pond", "Heron Slough", "Mill Ditch", "Alder Pool"}[:2+rng.IntN(3)]
	for _, site := range sites {
		for day := range 1 + rng.IntN(3) {
			species := []string{"Rana temporaria", "Rana arvalis", "Bufo bufo"}[rng.IntN(3)]
			for range 3 + rng.IntN(5) {
				if rng.IntN(3) == 0 {
					species = []string{"Rana temporaria", "Rana arvalis", "Bufo bufo"}[rng.IntN(3)]
				}
				svl := 62 * math.Exp(rng.NormFloat64()*0.12)
				bag := 4.5 + 0.5*float64(rng.IntN(3))
				mm := func(x float64) string { return fmt.Sprintf("%.1f", x) }
				out = append(out, caught{
					number: fmt.Sprintf("MC-%03d", len(out)+1), date: fmt.Sprintf("1991-05-%02d", 10+day), site: site, species: species,
					sex: []string{"female", "male"}[rng.IntN(2)], svl: mm(svl), tibia: mm(svl * 0.5 * math.Exp(rng.NormFloat64()*0.03)),
					gross: mm(math.Round(2*(26*math.Pow(svl/62, 3)))/2 + bag), bag: mm(bag),
					again: [2]string{mm(svl + rng.NormFloat64()*0.3), mm(svl + rng.NormFloat64()*0.3)},
				})
			}
		}
	}
	return out
}

const observer = "A. Quill"

// bySite parts the captures into those of each site.
func bySite(all []caught) [][]caught {
	var out [][]caught
	for i, c := range all {
		if i == 0 || c.site != all[i-1].site {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], c)
	}
	return out
}

// without leaves columns out of a row.
func without(row []string, columns ...int) []string {
	var out []string
	for i, s := range row {
		if !slices.Contains(columns, i) {
			out = append(out, s)
		}
	}
	return out
}

func headed(extra ...string) []string { return append(slices.Clone(caughtColumns), extra...) }

// layouts are ways in which the same captures are written.
var layouts = []struct {
	name  string
	write func([]caught) pageOf
}{
	{"plain", func(all []caught) (p pageOf) {
		p.add(headed("Observer")...)
		for _, c := range all {
			p.add(append(c.row(), observer)...)
		}
		return p
	}},
	{"title, name and value lines, a blank column", func(all []caught) (p pageOf) {
		p.add("", "Marrow Creek Field Station, book 4")
		p.add()
		p.add("", "Observer:", observer)
		p.add()
		p.add(append([]string{""}, caughtColumns...)...)
		for _, c := range all {
			p.add(append([]string{""}, c.row()...)...)
		}
		return p
	}},
	{"a unit row under the headings", func(all []caught) (p pageOf) {
		p.add("Observer: " + observer)
		p.add()
		p.add("Field No", "Date", "Site", "Species", "Sex", "SVL", "Tibia", "Gross", "Bag")
		p.add("", "", "", "", "", "mm", "mm", "g", "g")
		for _, c := range all {
			p.add(c.row()...)
		}
		return p
	}},
	{"group headings over the headings", func(all []caught) (p pageOf) {
		p.add("Field No", "Date", "Site", "Species", "Sex", "Lengths (mm)", "", "Mass (g)", "", "Observer")
		p.add("", "", "", "", "", "SVL", "Tibia", "Gross", "Bag", "")
		for _, c := range all {
			p.add(append(c.row(), observer)...)
		}
		return p
	}},
	{"one table for each site, one under another", func(all []caught) (p pageOf) {
		for _, part := range bySite(all) {
			p.add("Site: " + part[0].site)
			p.add(without(headed("Observer"), 2)...)
			for _, c := range part {
				p.add(without(append(c.row(), observer), 2)...)
			}
			p.add()
		}
		return p
	}},
	{"one table for each site, side by side", sideBySide},
	{"a section row for each site", func(all []caught) (p pageOf) {
		p.add(without(headed("Observer"), 2)...)
		for _, part := range bySite(all) {
			p.add(part[0].site)
			for _, c := range part {
				p.add(without(append(c.row(), observer), 2)...)
			}
		}
		return p
	}},
	{"ditto marks", func(all []caught) (p pageOf) {
		p.add(headed("Observer")...)
		for i, c := range all {
			row := append(c.row(), observer)
			for _, k := range []int{1, 2, 3, 9} {
				if i > 0 && row[k] == append(all[i-1].row(), observer)[k] {
					row[k] = []string{"\"", "do.", "″"}[k%3]
				}
			}
			p.add(row...)
		}
		return p
	}},
	{"blank means as above", func(all []caught) (p pageOf) {
		p.add(headed("Observer")...)
		for i, c := range all {
			row := append(c.row(), observer)
			for _, k := range []int{1, 2} {
				if i > 0 && c.site == all[i-1].site && row[k] == all[i-1].row()[k] {
					row[k] = ""
				}
			}
			p.add(row...)
		}
		return p
	}},
	{"animals as columns", func(all []caught) pageOf {
		p := make(pageOf, len(caughtColumns)+1)
		for k, h := range headed("Observer") {
			p[k] = []string{h}
			for _, c := range all {
				p[k] = append(p[k], append(c.row(), observer)[k])
			}
		}
		return p
	}},
	{"one row for each measurement", func(all []caught) (p pageOf) {
		p.add("Field No", "Date", "Site", "Species", "Sex", "Observer", "Trait", "Value", "Unit")
		for _, c := range all {
			for _, m := range [][3]string{{"SVL", c.svl, "mm"}, {"Tibia", c.tibia, "mm"}, {"gross", c.gross, "g"}, {"tare", c.bag, "g"}} {
				p.add(c.number, c.date, c.site, c.species, c.sex, observer, m[0], m[1], m[2])
			}
		}
		return p
	}},
	{"headings again, means and a remark", func(all []caught) (p pageOf) {
		p.add(headed("Observer")...)
		for i, c := range all {
			if i > 0 && i%9 == 0 {
				p.add(headed("Observer")...)
			}
			p.add(append(c.row(), observer)...)
		}
		p.add("Mean", "", "", "", "", "61.9", "30.9", "30.1", "5.0")
		p.add()
		p.add("Typed up from pencil in 1993; p. 12 is wet.")
		return p
	}},
}

func sideBySide(all []caught) pageOf {
	parts := bySite(all)
	rows := 0
	for _, part := range parts {
		rows = max(rows, len(part))
	}
	p := make(pageOf, rows+2)
	width := len(caughtColumns) // without the site, with the observer
	for k, part := range parts {
		left := k * (width + 1)
		put := func(r int, cells []string) {
			for len(p[r]) < left {
				p[r] = append(p[r], "")
			}
			p[r] = append(p[r], cells...)
		}
		put(0, []string{"Site: " + part[0].site})
		put(1, without(headed("Observer"), 2))
		for r, c := range part {
			put(2+r, without(append(c.row(), observer), 2))
		}
	}
	return p
}

// replicated are ways of writing three readings of one length.
var replicated = []struct {
	name  string
	heads pageOf
}{
	{"numbered headings", pageOf{{"Field No", "Date", "Site", "Species", "SVL1", "SVL2", "SVL3", "Tibia"}}},
	{"one heading three times", pageOf{{"Field No", "Date", "Site", "Species", "SVL", "SVL", "SVL", "Tibia"}}},
	{"numbers under a group heading", pageOf{{"Field No", "Date", "Site", "Species", "SVL", "", "", "Tibia"}, {"", "", "", "", "1", "2", "3", ""}}},
	{"with a unit row", pageOf{{"Field No", "Date", "Site", "Species", "SVL 1", "SVL 2", "SVL 3", "Tibia"}, {"", "", "", "", "mm", "mm", "mm", "mm"}}},
}

const layoutSurvey = `dataset:
  id: https://marrow-creek.invalid/datasets/layouts
  title: The same captures
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  published: "2024-09-01"
  creators: [{given: Ines, family: Varga}]
sheets: [{file: frogs}]
mapping:
  key: [recordNumber]
  session: [eventDate, locality]
  weighing: {way: same-row, unit: g}
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Date, term: eventDate, carryDown: true}
    - {heading: Site, also: [section], term: locality, carryDown: true}
    - {heading: Species, term: scientificName}
    - {heading: Sex, term: sex}
    - {heading: SVL, also: [Lengths SVL, Lengths (mm) SVL], measurement: snoutVentLength, unit: mm}
    - {pattern: 'SVL ?(?P<replicate>\d)', measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, also: [Lengths Tibia, Lengths (mm) Tibia], measurement: tibiaLength, unit: mm}
    - {heading: Gross, also: [Mass Gross, Mass (g) Gross], weighing: gross}
    - {heading: Bag, also: [Mass Bag, Mass (g) Bag], weighing: tare}
    - {heading: Observer, term: recordedBy}
    - {heading: Trait, long: name}
    - {heading: Value, long: value}
    - {heading: Unit, long: unit}
    - {heading: title, aside: says nothing about the animal}
`

func csvOf(t *testing.T, p pageOf) string {
	t.Helper()
	width := 0
	for _, row := range p {
		width = max(width, len(row))
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	for _, row := range p {
		if err := w.Write(append(slices.Clone(row), make([]string, width-len(row))...)); err != nil {
			t.Fatal(err)
		}
	}
	w.Flush()
	return b.String()
}

func xlsxOf(t *testing.T, p pageOf) string {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for r, row := range p {
		for c, text := range row {
			if text == "" {
				continue
			}
			cell, err := excelize.CoordinatesToCellName(c+1, r+1)
			if err != nil {
				t.Fatal(err)
			}
			if err := f.SetCellStr("Sheet1", cell, text); err != nil {
				t.Fatal(err)
			}
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// archiveOf runs a survey of one sheet and returns its archive. eml.xml is left
// out: it says how the sheet was read, heading by heading, and so is not the
// same for two layouts.
func archiveOf(t *testing.T, sheet string) map[string][]byte {
	t.Helper()
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", layoutSurvey)
	put(t, dir, "frogs", sheet)
	r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{Version: "test"})
	if err != nil {
		t.Fatalf("%v\n%s", err, sheet[:min(len(sheet), 1500)])
	}
	for _, f := range r.Findings {
		if f.Rule == "heading-unmatched" || f.Rule == "key-missing" || f.Rule == "key-repeated" {
			t.Errorf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	got := files(t, filepath.Join(out, darwincore.Folder))
	delete(got, "eml.xml")
	got["measurementorfact.csv"] = withoutHeadings(t, got["measurementorfact.csv"])
	return got
}

// withoutHeadings blanks what the sheet calls its measurements, in which layouts
// differ.
func withoutHeadings(t *testing.T, text []byte) []byte {
	t.Helper()
	lines, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := slices.Index(lines[0], "verbatimMeasurementType")
	for _, l := range lines {
		l[at] = ""
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	if err := w.WriteAll(lines); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func sameArchive(t *testing.T, want, got map[string][]byte) {
	t.Helper()
	for f := range want {
		if !bytes.Equal(want[f], got[f]) {
			t.Errorf("%s differs:\n%s", f, differingLines(want[f], got[f]))
		}
	}
	if len(got) != len(want) || len(want) != 3 {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
}

// The same captures written in any layout, as text or in a workbook, give the
// same archive to the byte.
func TestTheLayoutDoesNotMatter(t *testing.T) {
	for seed := range uint64(need.Times(1, 3)) {
		all := catch(rand.New(rand.NewPCG(seed, 1991)))
		want := archiveOf(t, csvOf(t, layouts[0].write(all)))
		if n := bytes.Count(want["occurrence.csv"], []byte("\n")); n != len(all)+1 {
			t.Fatalf("%d lines for %d captures", n, len(all))
		}
		for _, l := range layouts {
			page := l.write(all)
			t.Run(fmt.Sprintf("%d/%s/text", seed, l.name), func(t *testing.T) { sameArchive(t, want, archiveOf(t, csvOf(t, page))) })
			if seed > 0 {
				continue
			}
			t.Run(fmt.Sprintf("%d/%s/workbook", seed, l.name), func(t *testing.T) { sameArchive(t, want, archiveOf(t, xlsxOf(t, page))) })
		}
	}
}

func TestTheWritingOfReplicatesDoesNotMatter(t *testing.T) {
	for seed := range uint64(need.Times(1, 3)) {
		all := catch(rand.New(rand.NewPCG(seed, 1992)))
		var want map[string][]byte
		for _, l := range replicated {
			page := slices.Clone(l.heads)
			for _, c := range all {
				page.add(c.number, c.date, c.site, c.species, c.svl, c.again[0], c.again[1], c.tibia)
			}
			t.Run(fmt.Sprintf("%d/%s", seed, l.name), func(t *testing.T) {
				got := archiveOf(t, csvOf(t, page))
				if want == nil {
					want = got
					if n := bytes.Count(got["measurementorfact.csv"], []byte("replicate 3")); n != len(all) {
						t.Errorf("%d third readings of %d captures", n, len(all))
					}
				}
				sameArchive(t, want, got)
			})
		}
	}
}
