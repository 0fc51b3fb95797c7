package draft

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/taxon"
)

// stubs writes what the sheets hold of the tables that go beside them, for a
// person to complete: checklist.csv and sites.csv. survey.yaml names them as
// comments until then.
func (d *drafting) stubs() {
	if d.names == nil {
		if rows := d.speciesStub(); len(rows) > 0 {
			todo := "complete scientificName, then name this file under tables in survey.yaml."
			if d.complete {
				todo = "the names come from the list beside the captures."
			}
			d.files["checklist.csv"] = csvOf("Species as written in the sheets, with how often: "+todo,
				[]string{"scientificName", "code", "vernacularName", "count"}, rows)
		}
	}
	if rows := d.sitesStub(); len(rows) > 0 {
		d.files["sites.csv"] = csvOf("Places as written in the sheets, with how often: give each its coordinates, keep one spelling per site and put the others under aliases, then name this file under tables in survey.yaml.",
			[]string{"site", "latitude", "longitude", "aliases", "count"}, rows)
	}
}

func csvOf(comment string, heading []string, rows [][]string) []byte {
	var b strings.Builder
	b.WriteString("# " + comment + "\n")
	w := csv.NewWriter(&b)
	_ = w.Write(heading) // a strings.Builder takes everything
	_ = w.WriteAll(rows)
	return []byte(b.String())
}

// shownTerms are those of which a draft shows what the sheets hold.
var shownTerms = []string{"scientificName", "vernacularName", "taxonID", "locality", "locationID", "decimalLatitude", "decimalLongitude", "recordedBy", "eventDate", "year"}

// readTexts reads what is under these terms, once for each entry.
func (d *drafting) readTexts() {
	for _, r := range d.refs {
		if r.form != nil && r.form.draft != nil {
			r.texts = r.form.draft.Texts(shownTerms, r.tables, d.clues())
		}
	}
}

// speciesStub has a row for every text of the species columns, those that the
// sheets say to be one joined. Where the sheets write codes only and a list of
// theirs has a name for each, the checklist is complete.
func (d *drafting) speciesStub() [][]string {
	counts := map[string]int{}
	pairs := map[string]map[string]bool{} // full names by the text that stands for them
	for _, r := range d.refs {
		names := r.texts["scientificName"]
		for _, t := range names {
			counts[t]++
		}
		for _, term := range []string{"vernacularName", "taxonID"} {
			for i, t := range r.texts[term] {
				if len(names) == 0 {
					counts[t]++
				} else {
					pair(pairs, t, names[i])
				}
			}
		}
	}
	delete(counts, "")
	d.pairsInLists(counts, pairs)
	d.pairsInLines(counts, pairs)
	maps.DeleteFunc(counts, func(text string, _ int) bool { // unless a list explains it: NA, Neotoma albigula
		return pairs[text] == nil && (quantity.Mark(text) || taxon.CatchOf(text) != taxon.Unstated)
	})
	type row struct {
		name, code, vernacular string
		count                  int
	}
	rows := map[string]*row{}
	for _, t := range slices.Sorted(maps.Keys(counts)) {
		name := t
		if !mapping.ScientificName(t) {
			name = only(pairs[t])
		}
		at := name
		if name == "" {
			at = "\x00" + t
		}
		if rows[at] == nil {
			rows[at] = &row{name: name}
		}
		o := rows[at]
		o.count += counts[t]
		switch {
		case t == name:
		case strings.ContainsAny(t, " ") || t != strings.ToUpper(t) || len(t) > 8:
			o.vernacular = strings.Trim(o.vernacular+"|"+t, "|")
		default:
			o.code = strings.Trim(o.code+"|"+t, "|")
		}
	}
	for _, t := range slices.Sorted(maps.Keys(pairs)) {
		if o := rows[only(pairs[t])]; o != nil && counts[t] == 0 && o.name != "" {
			o.vernacular = strings.Trim(o.vernacular+"|"+t, "|")
		}
	}
	d.complete = len(rows) > 0
	for _, r := range rows {
		d.complete = d.complete && r.name != "" && counts[r.name] == 0
	}
	var out [][]string
	for _, r := range sorting.SortedFunc(maps.Values(rows), func(a, b *row) int {
		return cmp.Or(cmp.Compare(b.count, a.count), cmp.Compare(a.name+a.code+a.vernacular, b.name+b.code+b.vernacular))
	}) {
		out = append(out, []string{r.name, r.code, r.vernacular, fmt.Sprint(r.count)})
	}
	return out
}

func pair(pairs map[string]map[string]bool, text, name string) {
	if text == "" || !mapping.ScientificName(name) {
		return
	}
	if pairs[text] == nil {
		pairs[text] = map[string]bool{}
	}
	pairs[text][name] = true
}

// only returns the one name of a set, or "".
func only(set map[string]bool) string {
	if len(set) != 1 {
		return ""
	}
	for name := range set {
		return name
	}
	return ""
}

// pairsInLists finds in lists of species what the texts of the sheets stand
// for: the full name in the row that has the text.
func (d *drafting) pairsInLists(wanted map[string]int, pairs map[string]map[string]bool) {
	for _, r := range d.lists {
		for _, t := range r.tables {
			for _, row := range t.Rows {
				name := nameIn(row)
				for _, c := range row.Cells {
					if text := strings.TrimSpace(c.Text); wanted[text] > 0 && text != name {
						pair(pairs, text, name)
					}
				}
			}
		}
	}
}

// pairsInLines finds what the texts of the sheets stand for in the lines above,
// below and beside the tables: "PLCI = Plethodon cinereus, EUBI = Eurycea
// bislineata".
func (d *drafting) pairsInLines(wanted map[string]int, pairs map[string]map[string]bool) {
	lines := slices.Clone(d.lines)
	for _, r := range d.refs {
		for _, t := range r.tables {
			for _, l := range t.Labels {
				lines = append(lines, l.Name+": "+l.Cell.Text)
			}
		}
	}
	for _, line := range lines {
		marks := ",;/()[]"
		if strings.Contains(line, "=") {
			marks += "|" // parts cells, and no code from its name
		}
		for _, part := range strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(marks, r) }) {
			words := strings.FieldsFunc(part, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune("=:|–", r) })
			for i, text := range words {
				if wanted[text] > 0 {
					pair(pairs, text, strings.Trim(strings.Join(words[i+1:], " "), " ."))
				}
			}
		}
	}
}

// nameIn returns the scientific name in a row, in one cell or in two that follow
// each other.
func nameIn(row record.TableRow) string {
	for i, c := range row.Cells {
		text := strings.TrimSpace(c.Text)
		if mapping.ScientificName(text) {
			return text
		}
		if i > 0 {
			if two := strings.TrimSpace(row.Cells[i-1].Text) + " " + text; mapping.ScientificName(two) && !strings.Contains(text, " ") {
				return two
			}
		}
	}
	return ""
}

// sitesStub has a row for every text of the columns of places, with the only
// coordinates that are beside it or in a list of places.
func (d *drafting) sitesStub() [][]string {
	counts := map[string]int{}
	at := map[string]map[string]bool{}
	locate := func(r *entry, names []string) {
		latitudes, longitudes := r.texts["decimalLatitude"], r.texts["decimalLongitude"]
		for i, n := range names {
			if n != "" && i < len(latitudes) && i < len(longitudes) && latitudes[i] != "" && longitudes[i] != "" {
				if at[n] == nil {
					at[n] = map[string]bool{}
				}
				at[n][latitudes[i]+"\x00"+longitudes[i]] = true
			}
		}
	}
	for _, r := range d.lists {
		for _, term := range []string{"locality", "locationID"} {
			locate(r, r.texts[term])
		}
	}
	for _, r := range d.refs {
		names := r.texts["locality"]
		if len(names) == 0 {
			names = r.texts["locationID"]
		}
		for _, n := range names {
			if n != "" {
				counts[n]++
			}
		}
		locate(r, names)
	}
	var out [][]string
	for _, n := range slices.Sorted(maps.Keys(counts)) {
		latitude, longitude, _ := strings.Cut(only(at[n]), "\x00")
		out = append(out, []string{n, latitude, longitude, "", fmt.Sprint(counts[n])})
	}
	return out
}
