package sheet

import (
	"encoding/xml"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"spadefoot/pipeline/record/budget"
)

// sharedText is a text that cells share. It is struck if a part of it is crossed out.
type sharedText struct {
	text   string
	struck bool
}

// sharedTexts reads the texts that the cells of an XLSX workbook share, each
// once (ECMA-376 Part 1, 18.4.8). Phonetic readings beside a text are not part
// of it.
func sharedTexts(name string, p *packed, b budget.Budgets) (texts []sharedText, err error) {
	e := p.part("xl/sharedStrings.xml")
	if e == nil {
		return nil, nil
	}
	err = p.tokens(e, func(m markup) error {
		t := &textsReader{xml: m}
		for {
			more, err := t.step()
			texts = t.texts
			switch {
			case err != nil || !more:
				return err
			case len(t.texts) > b.Cells:
				return &Error{File: name, Cause: fmt.Sprintf("its cells share more than %d texts", b.Cells), Advice: budget.Advice(budget.Cells)}
			case len(t.one) > b.Cell:
				return &Error{File: name, Cause: fmt.Sprintf("a text that its cells share is longer than %d bytes", b.Cell), Advice: budget.Advice(budget.Cell)}
			}
		}
	})
	return texts, err
}

// textsReader gathers the texts of the items.
type textsReader struct {
	xml      markup
	texts    []sharedText
	one      []byte // the text of the item so far
	struck   bool   // a part of it is crossed out
	inText   bool
	phonetic bool
}

// step takes one token. It is false at the end.
func (t *textsReader) step() (bool, error) {
	tok, err := t.xml.token()
	if err == io.EOF {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	switch tok.kind {
	case begin:
		switch tok.element.Name.Local {
		case "si":
			t.one, t.struck = t.one[:0], false
		case "rPh":
			t.phonetic = true
		case "strike":
			t.struck = t.struck || strikes(tok.element)
		case "t":
			t.inText = !t.phonetic
		}
	case finish:
		switch tok.element.Name.Local {
		case "si":
			t.texts = append(t.texts, sharedText{unescaped(string(t.one)), t.struck})
		case "rPh":
			t.phonetic = false
		case "t":
			t.inText = false
		}
	case letters:
		if t.inText {
			t.one = append(t.one, tok.text...)
		}
	}
	return true, nil
}

// strikes reports whether a property of a run of characters crosses it out.
func strikes(e xml.StartElement) bool {
	val := attr(e, "val")
	return e.Name.Local == "strike" && (val == "" || on(val))
}

// escaped is a character that XML cannot hold (ECMA-376 Part 1, 22.9.2.19).
var escaped = regexp.MustCompile(`_x[0-9A-Fa-f]{4}_`)

// unescaped writes such characters as themselves.
func unescaped(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	return escaped.ReplaceAllStringFunc(s, func(e string) string {
		n, err := strconv.ParseUint(e[2:6], 16, 16)
		if err != nil {
			return e
		}
		return string(rune(n))
	})
}
