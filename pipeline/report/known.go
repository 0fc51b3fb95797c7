package report

import (
	"cmp"
	"encoding/json"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// KnownFinding is one entry of a file of known findings, with all that its
// fingerprint is made from in clear.
type KnownFinding struct {
	Fingerprint string       `json:"fingerprint"`
	Rule        string       `json:"rule"`
	Level       record.Level `json:"level"`
	Capture     string       `json:"capture,omitempty"`
	Field       string       `json:"field,omitempty"`
	Value       string       `json:"value,omitempty"`
	Group       string       `json:"group,omitempty"`
	Occurrence  int          `json:"occurrence,omitempty"` // 2 and more
	Why         string       `json:"why,omitempty"`        // what people have to say about it
}

func (k KnownFinding) identity() Identity {
	return Identity{k.Rule, k.Capture, k.Field, k.Value, k.Group, max(k.Occurrence, 1)}
}

// KnownFindings are the findings that people have looked at, sorted for
// review: by rule, capture, field, value, group and occurrence.
type KnownFindings []KnownFinding

// KnownOf makes entries of all findings. What people said about one stays if
// before has it.
func KnownOf(fs []record.Finding, ids []Identity, before KnownFindings) KnownFindings {
	why := map[string]string{}
	for _, k := range before {
		why[k.Fingerprint] = k.Why
	}
	out := make(KnownFindings, len(fs))
	for i, id := range ids {
		p := id.Fingerprint()
		out[i] = KnownFinding{Fingerprint: p, Rule: id.Rule, Level: fs[i].Level, Capture: id.Capture, Field: id.Field,
			Value: id.Value, Group: id.Group, Why: why[p]}
		if id.Occurrence > 1 {
			out[i].Occurrence = id.Occurrence
		}
	}
	slices.SortFunc(out, func(a, b KnownFinding) int {
		return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Capture, b.Capture), cmp.Compare(a.Field, b.Field),
			cmp.Compare(plainValue(a.Value), plainValue(b.Value)), cmp.Compare(a.Group, b.Group), cmp.Compare(a.Occurrence, b.Occurrence))
	})
	return out
}

// Standing is how findings stand against the known ones. New, Known and Heavier
// hold places in the list of findings.
type Standing struct {
	New     []int
	Known   []int
	Heavier []int         // of Known: now of a higher level than when they were written down
	Gone    KnownFindings // known findings that no longer occur
}

// Compare holds findings against the known ones. What is known stays known
// whatever its level: evidence grows and shrinks with every upload.
func (ks KnownFindings) Compare(fs []record.Finding, ids []Identity) Standing {
	level := map[string]record.Level{}
	for _, k := range ks {
		level[k.Fingerprint] = k.Level
	}
	var s Standing
	occurs := map[string]bool{}
	for i, id := range ids {
		p := id.Fingerprint()
		occurs[p] = true
		l, known := level[p]
		if !known {
			s.New = append(s.New, i)
			continue
		}
		s.Known = append(s.Known, i)
		if fs[i].Level > l {
			s.Heavier = append(s.Heavier, i)
		}
	}
	for _, k := range ks {
		if !occurs[k.Fingerprint] {
			s.Gone = append(s.Gone, k)
		}
	}
	return s
}

// knownFile is the file as a whole.
type knownFile struct {
	Version  int           `json:"version"`
	Findings KnownFindings `json:"findings"`
}

// WriteKnown writes the file, one entry a line, so that a comparison of two
// versions shows what came and went.
func WriteKnown(w io.Writer, ks KnownFindings) error {
	lines := linesOf{w: w}
	lines.print("{\n \"version\": 1,\n \"findings\": [")
	for i, k := range ks {
		if i > 0 {
			lines.print(",")
		}
		lines.print("\n  ")
		lines.json(k)
	}
	if len(ks) > 0 {
		lines.print("\n ")
	}
	lines.print("]\n}\n")
	return lines.err
}

// linesOf writes until the first error.
type linesOf struct {
	w   io.Writer
	err error
}

func (l *linesOf) print(s string) {
	if l.err == nil {
		_, l.err = io.WriteString(l.w, s)
	}
}

func (l *linesOf) json(v any) {
	text, err := inOneLine(v)
	if l.err == nil {
		l.err = err
	}
	l.print(text)
}

// inOneLine is the JSON of a value without a line end, < and & as they are.
func inOneLine(v any) (string, error) {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return strings.TrimSuffix(b.String(), "\n"), err
}
