package report

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// Identity is what makes a finding the same finding in another run. It holds
// no row, no column and no file name: it stays when rows are put in, columns
// change places, or the sheet is saved as another kind of file. The parts that
// say nothing for a rule are empty.
type Identity struct {
	Rule       string
	Capture    string // key of the capture; for one without a key, a name made from its contents
	Field      string // term, measurement or heading
	Value      string // as written
	Group      string // what a finding on a group is about
	Occurrence int    // from 1; tells findings apart that are alike in all else
}

// fingerprintVersion changes when fingerprints are made another way, so that
// none of two ways is ever compared.
const fingerprintVersion = 1

// Fingerprint is 32 hexadecimal digits of the SHA-256 of the parts.
func (i Identity) Fingerprint() string {
	h := sha256.Sum256(fmt.Appendf(nil, "%d %q %d", fingerprintVersion, i.parts(), i.Occurrence))
	return hex.EncodeToString(h[:16])
}

func (i Identity) parts() [5]string {
	return [5]string{i.Rule, i.Capture, i.Field, plainValue(i.Value), i.Group}
}

// aboutGroup are the rules on many captures whose address and capture are only
// an example: what they are about stands in the finding's group.
var aboutGroup = map[string]bool{
	"column-slip": true, "group-too-small": true, "digit-preferred": true, "observer-differs": true, "end-of-scale": true,
}

// wordRooms are the stages whose findings on one word are one finding however
// many cells hold it: the first of these cells is only an example. Errors stay
// apart, each of them has to be mended.
var wordRooms = []string{"calendar", "place", "quantity", "taxon", "vocabulary", "normalise"}

// Identify gives the identity of each finding, in their order. The captures
// name those that a finding on a mere cell belongs to, and may be nil.
func Identify(fs []record.Finding, captures []*record.Capture) []Identity {
	rules := ruleTable()
	names := namesOf(captures)
	out := make([]Identity, len(fs))
	alike := map[[5]string][]int{}
	for i := range fs {
		out[i] = identityOf(&fs[i], rules[fs[i].Rule], names)
		alike[out[i].parts()] = append(alike[out[i].parts()], i)
	}
	for _, same := range alike {
		// The heavier first: which of them is the second must not hang on rows.
		slices.SortStableFunc(same, func(a, b int) int { return cmp.Compare(fs[b].Level, fs[a].Level) })
		for n, i := range same {
			out[i].Occurrence = n + 1
		}
	}
	return out
}

func identityOf(f *record.Finding, rule schemas.Rule, names captureNames) Identity {
	id := Identity{Rule: f.Rule, Field: validText(f.Field)}
	switch {
	case aboutGroup[f.Rule]:
		id.Group = groupName(f)
		return id
	case aboutWord(rule) && f.Value != "":
		id.Value = validText(f.Value)
		return id
	}
	id.Value = validText(f.Value)
	if id.Capture = validText(names.of(f)); id.Capture == "" {
		id.Group = groupName(f)
	}
	return id
}

func aboutWord(rule schemas.Rule) bool {
	if rule.Level == "error" {
		return false
	}
	for _, stage := range strings.Split(rule.Stage, ", ") {
		if slices.Contains(wordRooms, stage) {
			return true
		}
	}
	return false
}

func ruleTable() map[string]schemas.Rule {
	out := map[string]schemas.Rule{}
	list, err := schemas.Rules()
	if err != nil {
		return out // embedded; a test reads them whole
	}
	for _, r := range list {
		out[r.Code] = r
	}
	return out
}

// groupName is the group without its size and without the kind of its file.
func groupName(f *record.Finding) string {
	g, _, _ := strings.Cut(validText(f.Group), ", n = ")
	if f.At.File == "" {
		return g
	}
	stem := strings.TrimSuffix(f.At.File, path.Ext(f.At.File))
	whole := record.Address{File: f.At.File, Sheet: f.At.Sheet}.String()
	return strings.ReplaceAll(strings.ReplaceAll(g, whole, stem), f.At.File, stem)
}

// validText makes text that JSON can carry.
func validText(s string) string { return strings.ToValidUTF8(s, "\uFFFD") }

var plainNumber = regexp.MustCompile(`^([+-]?[0-9]+)(?:[.,]([0-9]+))?$`)

// plainValue writes a value as every kind of file gives it back: without white
// space round it, a number with a point and without zeros at its end.
func plainValue(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	m := plainNumber.FindStringSubmatch(s)
	if m == nil {
		return s
	}
	if decimals := strings.TrimRight(m[2], "0"); decimals != "" {
		return m[1] + "." + decimals
	}
	return m[1]
}

// captureNames finds the name of the capture that a finding belongs to.
type captureNames struct {
	byKey  map[string]string
	byCell map[record.Address]string // "" where several captures share the cell
}

func namesOf(captures []*record.Capture) captureNames {
	n := captureNames{map[string]string{}, map[record.Address]string{}}
	for _, c := range captures {
		name := c.Key
		if keyless(c.Key, c.Address()) {
			name = "(no key, " + shortHash(Contents(c)) + ")"
			n.byKey[c.Key] = name
		}
		for _, a := range writtenCells(c) {
			if other, there := n.byCell[a]; there && other != name {
				n.byCell[a] = "" // a label above the table, say
				continue
			}
			n.byCell[a] = name
		}
	}
	return n
}

func (n captureNames) of(f *record.Finding) string {
	if name, ok := n.byKey[f.Capture]; ok {
		return name
	}
	if f.Capture != "" {
		if keyless(f.Capture, f.At) {
			return ""
		}
		return f.Capture
	}
	return n.byCell[f.At]
}

// keyless reports whether a key is only the address of a capture in that file.
func keyless(key string, at record.Address) bool {
	return at.File != "" && strings.HasPrefix(key, "("+at.File+", ") && strings.HasSuffix(key, ")")
}

func shortHash(s string) string {
	h := sha256.Sum256([]byte(s))
	return hex.EncodeToString(h[:4])
}

// writtenCells are the cells of its own sheet that a capture was read from.
func writtenCells(c *record.Capture) []record.Address {
	var out []record.Address
	add := func(a record.Address) {
		if a.File == c.File && a.Sheet == c.Sheet && a.Row > 0 && a.Column > 0 {
			out = append(out, a)
		}
	}
	for i := range c.Values {
		add(c.Values[i].From)
	}
	for i := range c.Readings {
		add(c.Readings[i].From)
	}
	for i := range c.Extras {
		add(c.Extras[i].From)
	}
	if w := c.Weighing; w != nil {
		add(w.Bag)
		for _, r := range []*record.Reading{w.Gross, w.Tare, w.Net} {
			if r != nil {
				add(r.From)
			}
		}
	}
	return out
}
