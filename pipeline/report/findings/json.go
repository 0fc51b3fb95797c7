package findings

import (
	"bytes"
	"fmt"
	"io"
	"iter"
	"math"
	"slices"
	"strconv"

	"spadefoot/pipeline/record"
)

// JSON writes the findings with their counts, as described by
// schemas/findings.schema.json.
func JSON(w io.Writer, fs []record.Finding) error {
	return EachJSON(w, Count(fs), slices.Values(fs))
}

// EachJSON writes findings as they come, and their counts before them.
// The bytes are those of encoding/json.
func EachJSON(w io.Writer, n Counts, fs iter.Seq[record.Finding]) error {
	b := fmt.Appendf(nil, "{\n \"counts\": {\n  \"error\": %d,\n  \"warning\": %d,\n  \"note\": %d\n },\n \"findings\": [", n.Error, n.Warning, n.Note)
	separator, end := "\n  ", ""
	for f := range fs {
		var err error
		if b, err = appendFinding(append(b, separator...), &f); err != nil {
			return err
		}
		separator, end = ",\n  ", "\n "
		if len(b) >= maxBytes {
			if _, err := w.Write(b); err != nil {
				return err
			}
			b = b[:0]
		}
	}
	_, err := w.Write(append(append(b, end...), "]\n}\n"...))
	return err
}

// appendFinding writes one finding as an object of the list.
func appendFinding(b []byte, f *record.Finding) ([]byte, error) {
	b = appendMember(append(b, '{'), "\n   ", "rule", f.Rule)
	b = appendMember(append(b, ','), "\n   ", "level", f.Level.String())
	b = appendAddress(append(b, ",\n   \"at\": "...), f.At, "\n   ")
	if len(f.Also) > 0 {
		b = append(b, ",\n   \"also\": ["...)
		for i, a := range f.Also {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendAddress(append(b, "\n    "...), a, "\n    ")
		}
		b = append(b, "\n   ]"...)
	}
	if len(f.Runs) > 0 {
		b = append(b, ",\n   \"runs\": ["...)
		for i, r := range f.Runs {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendAddress(append(b, "\n    "...), r.Address, "\n    ")
			b = append(b[:len(b)-len("\n    }")], ",\n     \"last\": "...)
			b = append(strconv.AppendInt(b, int64(r.Last), 10), "\n    }"...)
		}
		b = append(b, "\n   ]"...)
	}
	for _, m := range [...]struct{ name, text string }{{"capture", f.Capture}, {"field", f.Field}, {"value", f.Value}, {"reason", f.Reason}, {"suggestion", f.Suggestion}, {"group", f.Group}} {
		if m.text != "" || m.name == "reason" {
			b = appendMember(append(b, ','), "\n   ", m.name, m.text)
		}
	}
	if len(f.Figures) > 0 {
		b = append(b, ",\n   \"figures\": ["...)
		for i, g := range f.Figures {
			if math.IsNaN(g.Value) || math.IsInf(g.Value, 0) {
				return nil, fmt.Errorf("%s, %s: the figure %s is not a number JSON can hold", f.At, f.Rule, g.Name)
			}
			if i > 0 {
				b = append(b, ',')
			}
			b = appendMember(append(b, "\n    {"...), "\n     ", "name", g.Name)
			b = appendNumber(append(b, ",\n     \"value\": "...), g.Value)
			b = append(b, "\n    }"...)
		}
		b = append(b, "\n   ]"...)
	}
	if f.Reference != "" {
		b = appendMember(append(b, ','), "\n   ", "reference", f.Reference)
	}
	return append(b, "\n  }"...), nil
}

func appendAddress(b []byte, a record.Address, line string) []byte {
	b = appendMember(append(b, '{'), line+" ", "file", a.File)
	if a.Sheet != "" {
		b = appendMember(append(b, ','), line+" ", "sheet", a.Sheet)
	}
	for _, m := range [...]struct {
		name string
		n    int
	}{{"row", a.Row}, {"column", a.Column}} {
		if m.n != 0 {
			b = append(append(append(append(b, ','), line...), ' ', '"'), m.name...)
			b = strconv.AppendInt(append(b, '"', ':', ' '), int64(m.n), 10)
		}
	}
	return append(append(b, line...), '}')
}

func appendMember(b []byte, line, name, text string) []byte {
	b = append(append(append(b, line...), '"'), name...)
	return appendText(append(b, '"', ':', ' '), text)
}

// appendText writes a JSON string. What is more than plain letters is left to
// encoding/json.
func appendText(b []byte, text string) []byte {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			var one bytes.Buffer
			_ = record.WriteJSON(&one, text, "", "") // a string to memory: it can't fail
			return append(b, bytes.TrimSuffix(one.Bytes(), []byte("\n"))...)
		}
	}
	return append(append(append(b, '"'), text...), '"')
}

// appendNumber writes a number as encoding/json does, which follows ECMAScript:
// an exponent for what is very small or very large, without a zero before it.
func appendNumber(b []byte, v float64) []byte {
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e21) {
		b = strconv.AppendFloat(b, v, 'e', -1, 64)
		if n := len(b); n >= 4 && b[n-4] == 'e' && b[n-3] == '-' && b[n-2] == '0' {
			b[n-2] = b[n-1]
			b = b[:n-1]
		}
		return b
	}
	return strconv.AppendFloat(b, v, 'f', -1, 64)
}
