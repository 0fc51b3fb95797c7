package findings

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"iter"
	"path"
	"regexp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
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
// an example: what they are about is in the finding's group.
var aboutGroup = map[string]bool{
	"column-slip": true, "group-too-small": true, "digit-preferred": true, "observer-differs": true, "end-of-scale": true,
}

// wordRooms are the stages whose findings on one word are one finding however
// many cells hold it: the first of these cells is only an example. Errors stay
// apart, each of them has to be corrected.
var wordRooms = []string{"calendar", "place", "quantity", "taxon", "vocabulary", "normalise"}

// Identified is a finding with what makes it the same in another run.
type Identified struct {
	record.Finding
	ID    Identity
	Known bool // it is among the known findings
}

// Findings are the findings of a survey in the order of the outputs. They may be
// gone through more than once; they end after an error.
type Findings = iter.Seq2[*Identified, error]

// WithIdentities gives findings their identities; it goes through them twice at
// once, and again whenever the outcome is gone through. Name gives the name of
// the capture that a finding belongs to, as NamesOf does, or nothing. What it
// keeps is bounded but for findings that are alike.
func WithIdentities(fs iter.Seq2[record.Finding, error], name func(*record.Finding) (string, error)) (Findings, error) {
	rules := schemas.RuleOf()
	each := func(yield func(*Identified, error) bool) {
		for f, err := range fs {
			t := &Identified{Finding: f}
			if err == nil {
				t.ID, err = identityOf(&t.Finding, rules[f.Rule], name)
			}
			if !yield(t, err) || err != nil {
				return
			}
		}
	}
	occurrence, err := occurrences(each)
	if err != nil {
		return nil, err
	}
	return func(yield func(*Identified, error) bool) {
		n := 0
		for t, err := range each {
			if err != nil {
				yield(nil, err)
				return
			}
			t.ID.Occurrence = max(1, occurrence[n])
			if n++; !yield(t, nil) {
				return
			}
		}
	}, nil
}

// occurrences numbers findings that are alike: it gives the numbers of those
// from the second on by their place. The heavier come first: which of them is
// the second must not depend on rows.
func occurrences(fs Findings) (map[int]int, error) {
	var once, again sparse
	for t, err := range fs {
		if err != nil {
			return nil, err
		}
		if d := t.ID.digest(); !once.put(d) {
			again.put(d)
		}
	}
	type place struct {
		n     int
		level record.Level
	}
	alike := map[[5]string][]place{}
	n := 0
	for t, err := range fs {
		if err != nil {
			return nil, err
		}
		if again.has(t.ID.digest()) {
			alike[t.ID.parts()] = append(alike[t.ID.parts()], place{n, t.Level})
		}
		n++
	}
	out := map[int]int{}
	for _, same := range alike {
		sorting.StableFunc(same, func(a, b place) int { return cmp.Compare(b.level, a.level) })
		for i, p := range same[1:] {
			out[p.n] = i + 2
		}
	}
	return out, nil
}

func (i Identity) digest() uint64 {
	d := digest.Start
	for _, p := range i.parts() {
		d = d.Text(p).Text("\x1f")
	}
	return digest.Spread(uint64(d))
}

// sparse is a set of digests in little memory: now and then it takes one for a
// member that is none.
type sparse struct{ bits []uint64 }

const sparseBits = 1 << 25

// put adds a digest and reports whether it was not there.
func (s *sparse) put(d uint64) bool {
	if s.bits == nil {
		s.bits = make([]uint64, sparseBits/64)
	}
	if s.has(d) {
		return false
	}
	s.bits[d%sparseBits/64] |= 1 << (d % 64)
	return true
}

func (s *sparse) has(d uint64) bool { return s.bits != nil && s.bits[d%sparseBits/64]&(1<<(d%64)) != 0 }

// Identify returns the identity of each finding, in their order. The captures
// name those that a finding on a mere cell belongs to, and may be nil.
func Identify(fs []record.Finding, captures []*record.Capture) []Identity {
	names := NamesOf(captures)
	told, err := WithIdentities(func(yield func(record.Finding, error) bool) {
		for _, f := range fs {
			if !yield(f, nil) {
				return
			}
		}
	}, func(f *record.Finding) (string, error) { return names.Of(f), nil })
	out := make([]Identity, 0, len(fs))
	if err == nil {
		for t := range told {
			out = append(out, t.ID)
		}
	}
	return out
}

func identityOf(f *record.Finding, rule schemas.Rule, name func(*record.Finding) (string, error)) (Identity, error) {
	id := Identity{Rule: f.Rule, Field: validText(f.Field)}
	switch {
	case aboutGroup[f.Rule]:
		id.Group = groupName(f)
		return id, nil
	case aboutWord(rule) && f.Value != "":
		id.Value = validText(f.Value)
		return id, nil
	}
	id.Value = validText(f.Value)
	capture, err := name(f)
	if id.Capture = validText(capture); id.Capture == "" {
		id.Group = groupName(f)
	}
	return id, err
}

func aboutWord(rule schemas.Rule) bool {
	return rule.Level != "error" && slices.ContainsFunc(strings.Split(rule.Stage, ", "), func(stage string) bool {
		return slices.Contains(wordRooms, stage)
	})
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

// Names finds the name of the capture that a finding belongs to: its key, or a
// name made from its contents where it has none.
type Names struct {
	byKey  map[string]string
	byCell map[record.Address]string // "" where several captures share the cell
}

// NamesOf are the names among captures.
func NamesOf(captures []*record.Capture) Names {
	n := Names{map[string]string{}, map[record.Address]string{}}
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

// Of returns the name of the capture that a finding belongs to, or nothing.
func (n Names) Of(f *record.Finding) string {
	if name, ok := n.byKey[f.Capture]; ok {
		return name
	}
	if !NeedsNames(f) {
		return f.Capture
	}
	if f.Capture != "" {
		return ""
	}
	return n.byCell[f.At]
}

// Cell returns the name of the capture that a cell was read for; it is empty
// where several share it.
func (n Names) Cell(at record.Address) (name string, known bool) {
	name, known = n.byCell[at]
	return name, known
}

// NeedsNames reports whether a finding does not say itself which capture it
// belongs to.
func NeedsNames(f *record.Finding) bool { return f.Capture == "" || keyless(f.Capture, f.At) }

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
	for row, column := range c.Origins() {
		if row > 0 && c.InSheet(column) {
			out = append(out, record.Address{File: c.File, Sheet: c.Sheet, Row: row, Column: column.Column})
		}
	}
	return out
}
