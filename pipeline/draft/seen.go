package draft

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/vocabulary"
)

// writeSeen writes into survey.yaml, as comments, what the sheets show of the
// survey: its days, its instruments, its observers.
func (d *drafting) writeSeen(b *strings.Builder) {
	if from, to := d.days(); from == "" {
		b.WriteString("# survey: {timezone: Area/City, from: YYYY-MM-DD, to: YYYY-MM-DD} # please fill in: no date in the sheets can be read in one way only\n")
	} else {
		fmt.Fprintf(b, "# survey: {timezone: Area/City, from: %q, to: %q} # please fill in the time zone; the days are the first and last in the sheets\n", from, to)
	}
	d.writeOwn(b)
	d.writeInstruments(b)
	d.writeObservers(b)
}

// writeOwn proposes measurements of the team's own for columns of numbers with a
// unit that nothing in the vocabulary fits.
func (d *drafting) writeOwn(b *strings.Builder) {
	begun := map[string]bool{}
	for _, f := range d.forms {
		if f.draft == nil {
			continue
		}
		for _, g := range f.draft.Guesses {
			unit, rest, ok := quantity.HeadingUnit(g.Heading)
			if words := mapping.Name(rest); ok && g.Meaning.Role == record.Unmatched && g.Seen.Measured() && words != "" && !begun[words] && len(vocabulary.MeasurementsCalled(words)) == 0 {
				if len(begun) == 0 {
					b.WriteString("# measurements: # not in the vocabulary: say what was measured, then name it in the mapping\n")
				}
				begun[words] = true
				fmt.Fprintf(b, "#   - {name: %s, label: %s, dimension: %s, unit: %s, definition: say what is measured and from where to where}\n", words, mapping.Quote(strings.ToLower(strings.TrimSpace(rest))), quantity.Dimension(unit), mapping.Quote(unit))
			}
		}
	}
}

// days returns the first and the last date of the sheets that reads in one order
// only, by itself or beside the others of its sheet.
func (d *drafting) days() (first, last string) {
	for _, r := range d.refs {
		var all calendar.Evidence
		for _, t := range r.texts["eventDate"] {
			all.Add(t)
		}
		read := calendar.Options{Order: calendar.DMY, SixDigits: all.SixDigits()}
		other := read
		other.Order = calendar.MDY
		if order, _ := all.Decide(calendar.Unknown); order != calendar.Unknown || all.SixDigits() {
			read.Order, other.Order = order, order
		}
		for _, t := range r.texts["eventDate"] {
			a, o := calendar.Parse(t, read), calendar.Parse(t, other)
			if a.Precision < calendar.ToDay || a.ISO != o.ISO {
				continue
			}
			day := a.ISO[:min(10, len(a.ISO))]
			if first == "" || day < first {
				first = day
			}
			last = max(last, day)
		}
	}
	return first, last
}

// writeInstruments proposes an instrument for each kind of unit, with the
// finest step that the numbers show.
func (d *drafting) writeInstruments(b *strings.Builder) {
	type tool struct {
		unit    string
		decimal int
		columns []string
	}
	tools := map[string]*tool{}
	for _, f := range d.forms {
		if f.draft == nil {
			continue
		}
		for _, g := range f.draft.Guesses {
			dimension := quantity.Dimension(g.Meaning.Unit)
			if dimension != "length" && dimension != "mass" || g.Seen.Numbers == 0 || g.Usual == "" {
				continue
			}
			t := tools[g.Meaning.Unit]
			if t == nil {
				t = &tool{unit: g.Meaning.Unit}
				tools[g.Meaning.Unit] = t
			}
			t.decimal = max(t.decimal, g.Seen.Decimals)
			t.columns = append(t.columns, g.Heading)
		}
	}
	b.WriteString("# instruments: # the graduations are the steps of the written numbers; give each its name and kind\n")
	for _, unit := range slices.Sorted(maps.Keys(tools)) {
		t := tools[unit]
		kind := "caliper"
		if quantity.Dimension(unit) == "mass" {
			kind = "spring scale"
		}
		fmt.Fprintf(b, "#   - {name: my %s, kind: %s, unit: %s, graduation: %s} # %s\n", kind, kind, mapping.Quote(unit),
			step(t.decimal), mapping.Comment(strings.Join(t.columns[:min(4, len(t.columns))], ", ")))
	}
	if len(tools) == 0 {
		b.WriteString("#   - {name: scale 100, kind: spring scale, unit: g, graduation: 0.5, capacity: 100}\n")
	}
}

func step(decimals int) string {
	if decimals <= 0 {
		return "1"
	}
	return "0." + strings.Repeat("0", decimals-1) + "1"
}

// writeObservers lists the people as written, spellings that seem to be one
// person on one line.
func (d *drafting) writeObservers(b *strings.Builder) {
	counts := map[string]int{}
	for _, r := range d.refs {
		for _, t := range r.texts["recordedBy"] {
			for _, name := range strings.FieldsFunc(t, func(r rune) bool { return r == ';' || r == '|' || r == '&' || r == '/' }) {
				if name = strings.TrimSpace(name); name != "" && !quantity.Missing(name) {
					counts[name]++
				}
			}
		}
	}
	if len(counts) == 0 || len(counts) > maxObservers {
		return
	}
	b.WriteString("# observers as written; those on one line seem to be one person. A mapping joins them with\n# words: {recordedBy: {\"another spelling\": \"the one to publish\"}}\n")
	for _, group := range onePerson(counts) {
		var names []string
		for _, n := range group {
			names = append(names, fmt.Sprintf("%s (%d)", n, counts[n]))
		}
		fmt.Fprintf(b, "#   %s\n", mapping.Comment(strings.Join(names, ", ")))
	}
}

const maxObservers = 60

// onePerson groups spellings of names, the most frequent first in each.
func onePerson(counts map[string]int) [][]string {
	names := sorting.SortedFunc(maps.Keys(counts), func(a, b string) int {
		return cmp.Or(cmp.Compare(counts[b], counts[a]), cmp.Compare(a, b))
	})
	var groups [][]string
	for _, n := range names {
		at := slices.IndexFunc(groups, func(g []string) bool { return slices.ContainsFunc(g, func(o string) bool { return samePerson(o, n) }) })
		if at < 0 {
			groups = append(groups, []string{n})
		} else {
			groups[at] = append(groups[at], n)
		}
	}
	return groups
}

// samePerson reports whether two texts can be one name: the same family name
// with given names of which one begins the other, or the initials of it.
func samePerson(a, b string) bool {
	x, y := nameParts(a), nameParts(b)
	if len(x) == 0 || len(y) == 0 {
		return false
	}
	if ini, other := initials(a), y; ini != "" {
		return initialsOf(other) == ini
	}
	if ini := initials(b); ini != "" {
		return initialsOf(x) == ini
	}
	fx, fy := family(x), family(y)
	if fx != fy {
		return false
	}
	gx, gy := without(x, []string{fx}), without(y, []string{fy})
	if len(gx) == 0 || len(gy) == 0 {
		return true
	}
	return strings.HasPrefix(gx[0], gy[0]) || strings.HasPrefix(gy[0], gx[0])
}

func nameParts(name string) []string {
	return vocabulary.FoldEach(strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' && r != '-' }))
}

// family is the longest part of a name.
func family(parts []string) string {
	return slices.MaxFunc(parts, func(a, b string) int { return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b)) })
}

// initials returns a text of two to four capitals folded, "" for any other.
func initials(name string) string {
	if n := len([]rune(name)); n < 2 || n > 4 || strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsUpper(r) }) {
		return ""
	}
	return vocabulary.Fold(name)
}

func initialsOf(parts []string) string {
	s := ""
	for _, p := range parts {
		s += string([]rune(p)[0])
	}
	return s
}
