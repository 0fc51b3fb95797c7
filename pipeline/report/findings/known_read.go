package findings

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline/config"
	"spadefoot/schemas"
)

const knownSchema = "known-findings.schema.json"

const writeAnew = "write the file anew with --write-known"

// ReadKnown reads a file of known findings; name is for errors, which are of
// type config.Mistakes. An entry whose fingerprint is not made from what it
// says is refused: people would review one finding and accept another.
func ReadKnown(name string, text []byte) (KnownFindings, error) {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	mistake := func(line int, path, problem string) error {
		return config.Mistakes{{File: name, Line: line, Path: path, Problem: problem}}
	}
	if err := oneValue(text); err != nil {
		return nil, mistake(lineAt(text, syntaxOffset(err, text)), "", fmt.Sprintf("is not readable JSON: %v; restore it, or %s", err, writeAnew))
	}
	lines := entryLines(text)
	if ms := againstSchema(name, text, lines); len(ms) > 0 {
		return nil, ms
	}
	var file knownFile
	if err := json.Unmarshal(text, &file); err != nil {
		return nil, mistake(0, "", err.Error())
	}
	var ms config.Mistakes
	first := map[string]int{}
	for i, k := range file.Findings {
		path := "findings." + strconv.Itoa(i)
		line := lineOf(lines, i)
		if want := k.identity().Fingerprint(); k.Fingerprint != want {
			ms = append(ms, config.Mistake{File: name, Line: line, Path: path + ".fingerprint",
				Problem: fmt.Sprintf("%s is not the fingerprint of what this entry says; %s", k.Fingerprint, writeAnew)})
		}
		if other, twice := first[k.Fingerprint]; twice {
			ms = append(ms, config.Mistake{File: name, Line: line, Path: path,
				Problem: fmt.Sprintf("is listed twice, first as findings.%d; remove one", other)})
			continue
		}
		first[k.Fingerprint] = i
	}
	if len(ms) > 0 {
		return nil, ms
	}
	return file.Findings, nil
}

// oneValue checks that the text is one JSON value with nothing behind it. The
// only numbers of the file are small and whole; one with an exponent could cost
// the schema checker all memory.
func oneValue(text []byte) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	for depth, begun := 0, false; !begun || depth > 0; begun = true {
		t, err := d.Token()
		switch {
		case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
			return errors.New("it ends too early")
		case err != nil:
			return err
		}
		switch t := t.(type) {
		case json.Delim:
			if t == '{' || t == '[' {
				depth++
			} else {
				depth--
			}
		case json.Number:
			if len(t) > 9 || strings.ContainsAny(t.String(), "eE.-") {
				return fmt.Errorf("the number %.20s has no place in it", t)
			}
		}
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("there is something after its end")
	}
	return nil
}

func syntaxOffset(err error, text []byte) int {
	if s, ok := errors.AsType[*json.SyntaxError](err); ok {
		return int(s.Offset)
	}
	return len(text)
}

func lineAt(text []byte, offset int) int {
	return 1 + bytes.Count(text[:min(max(offset, 0), len(text))], []byte{'\n'})
}

// againstSchema holds the text against the JSON Schema.
func againstSchema(name string, text []byte, lines []int) config.Mistakes {
	schema, err := schemas.Files.ReadFile(knownSchema)
	if err != nil {
		return config.Mistakes{{File: name, Problem: err.Error()}}
	}
	res, err := gojsonschema.Validate(gojsonschema.NewBytesLoader(schema), gojsonschema.NewBytesLoader(text))
	if err != nil {
		return config.Mistakes{{File: name, Problem: err.Error()}}
	}
	var ms config.Mistakes
	for _, e := range res.Errors() {
		path := strings.TrimPrefix(strings.TrimPrefix(e.Context().String(), "(root)"), ".")
		m := config.Mistake{File: name, Path: path, Problem: "this is not a file of known findings as it should be: " + e.Description()}
		if parts := strings.Split(path, "."); len(parts) > 1 && parts[0] == "findings" {
			if i, err := strconv.Atoi(parts[1]); err == nil {
				m.Line = lineOf(lines, i)
			}
		}
		ms = append(ms, m)
	}
	return ms
}

// entryLines are the lines on which the entries of findings begin, as far as
// they can be told.
func entryLines(text []byte) []int {
	d := json.NewDecoder(bytes.NewReader(text))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return nil
	}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return nil
		}
		if key != "findings" {
			var skip json.RawMessage
			if d.Decode(&skip) != nil {
				return nil
			}
			continue
		}
		if t, err := d.Token(); err != nil || t != json.Delim('[') {
			return nil
		}
		return elementLines(d, text)
	}
	return nil
}

func elementLines(d *json.Decoder, text []byte) []int {
	var lines []int
	line, from := 1, 0
	for d.More() {
		var entry json.RawMessage
		if d.Decode(&entry) != nil {
			break
		}
		begin := int(d.InputOffset()) - len(entry)
		line += bytes.Count(text[from:begin], []byte{'\n'})
		from = begin
		lines = append(lines, line)
	}
	return lines
}

func lineOf(lines []int, i int) int {
	if i < len(lines) {
		return lines[i]
	}
	return 0
}
