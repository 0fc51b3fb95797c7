package findings

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
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

// Standing is how findings stand against the known ones.
type Standing struct {
	New, Known int
	Heavier    int           // of the known: now of a higher level than when they were written down
	Gone       KnownFindings // known findings that no longer occur
}

// Mark marks the findings that are known, and tells how all stand. What is known
// stays known whatever its level: evidence grows and shrinks with every upload.
func (ks KnownFindings) Mark(fs Findings) (Findings, Standing, error) {
	level := map[string]record.Level{}
	for _, k := range ks {
		level[k.Fingerprint] = k.Level
	}
	marked := func(yield func(*Identified, error) bool) {
		for t, err := range fs {
			if err == nil {
				_, t.Known = level[t.ID.Fingerprint()]
			}
			if !yield(t, err) {
				return
			}
		}
	}
	var s Standing
	occurs := map[string]bool{}
	for t, err := range marked {
		switch {
		case err != nil:
			return nil, s, err
		case !t.Known:
			s.New++
			continue
		}
		s.Known++
		p := t.ID.Fingerprint()
		occurs[p] = true
		if t.Level > level[p] {
			s.Heavier++
		}
	}
	for _, k := range ks {
		if !occurs[k.Fingerprint] {
			s.Gone = append(s.Gone, k)
		}
	}
	return marked, s, nil
}

// knownFile is the file as a whole.
type knownFile struct {
	Version  int           `json:"version"`
	Findings KnownFindings `json:"findings"`
}

// WriteKnown writes all findings as known, sorted for review: by rule, capture,
// field, value, group and occurrence. What people said about one stays if before
// has it. There is one entry a line, so that a comparison of two versions shows
// what came and went.
func WriteKnown(w io.Writer, fs Findings, before KnownFindings) (err error) {
	why := map[string]string{}
	for _, k := range before {
		why[k.Fingerprint] = k.Why
	}
	sorted := store.NewSorted("")
	defer func() { err = errors.Join(err, sorted.Close()) }()
	for t, err := range fs {
		if err != nil {
			return err
		}
		p := t.ID.Fingerprint()
		k := KnownFinding{Fingerprint: p, Rule: t.ID.Rule, Level: t.Level, Capture: t.ID.Capture, Field: t.ID.Field,
			Value: t.ID.Value, Group: t.ID.Group, Why: why[p]}
		if t.ID.Occurrence > 1 {
			k.Occurrence = t.ID.Occurrence
		}
		line, err := jsonOf(k, "", "")
		if err != nil {
			return err
		}
		if err := sorted.Add(k.order(), line); err != nil {
			return err
		}
	}
	lines := bufio.NewWriter(w)
	lines.WriteString("{\n \"version\": 1,\n \"findings\": [")
	separator, end := "", ""
	for k, err := range sorted.All() {
		if err != nil {
			return err
		}
		lines.WriteString(separator + "\n  " + k[1])
		separator, end = ",", "\n "
	}
	lines.WriteString(end + "]\n}\n")
	return lines.Flush()
}

// order is the key that entries are sorted by.
func (k KnownFinding) order() string {
	return strings.Join([]string{k.Rule, k.Capture, k.Field, plainValue(k.Value), k.Group, fmt.Sprintf("%09d", k.Occurrence)}, "\x00")
}

// jsonOf is the JSON of a value without a line end behind it.
func jsonOf(v any, prefix, indent string) (string, error) {
	var b strings.Builder
	err := record.WriteJSON(&b, v, prefix, indent)
	return strings.TrimSuffix(b.String(), "\n"), err
}
