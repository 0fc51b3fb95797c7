package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"testing"
)

// tokensOf writes down the tokens of a document; texts side by side are one.
func tokensOf(m markup) (string, error) {
	var b strings.Builder
	for {
		tok, err := m.token()
		if err == io.EOF {
			return b.String(), nil
		}
		if err != nil {
			return b.String(), err
		}
		switch tok.kind {
		case begin:
			fmt.Fprintf(&b, "\n<%q %q", tok.element.Name, tok.element.Attr)
		case finish:
			fmt.Fprintf(&b, "\n>%q", tok.element.Name)
		case letters:
			if strings.TrimSpace(tok.text) != "" {
				fmt.Fprintf(&b, "\n%q", tok.text)
			}
		}
	}
}

// What is taken apart quickly comes out as encoding/xml takes it apart.
func sameTokens(t *testing.T, text []byte) bool {
	t.Helper()
	q := quickMarkup(string(text))
	if q == nil {
		return false
	}
	got, err := tokensOf(q)
	if q.odd {
		return false
	}
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	want, err := tokensOf(decoded{xml.NewDecoder(bytes.NewReader(text))})
	if err != nil {
		t.Fatalf("%q was taken for plain, and encoding/xml says: %v", text, err)
	}
	if got != want {
		t.Fatalf("%q:\n%s\nwant\n%s", text, got, want)
	}
	return true
}

var markupTexts = []struct {
	text  string
	quick bool
}{
	{"<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\r\n<worksheet xmlns=\"http://x\" xmlns:r=\"http://y\"><sheetData><row r=\"1\" spans=\"1:2\"><c r=\"A1\" t=\"s\"><v>0</v></c><c r=\"B1\" s=\"3\"/></row></sheetData></worksheet>", true},
	{"<x:row r=\"1\">\n\t<x:c  r=\"A1\"\n t=\"inlineStr\" ><x:is><x:t xml:space=\"preserve\"> grenouille vérifiée </x:t></x:is></x:c></x:row>", true},
	{"<a><b/></a>", true},
	{"", true},
	{"<a>1 &lt; 2</a>", false},
	{"<a><!-- note --></a>", false},
	{"<a><![CDATA[x]]></a>", false},
	{"<a b='c'/>", false},
	{"<a b = \"c\"/>", false},
	{"<a\r\nb=\"c\"/>", false},
	{"<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><a/>", false},
	{"<a><?do it?></a>", false},
	{"<a", false},
	{"<a b=\"c", false},
	{"<a b=\"<\"/>", false},
	{"<a/ >", false},
	{"< a/>", false},
	{"<1a/>", false},
	{"<a:/>", false},
	{"<a\x01/>", false},
	{"<a>\xff</a>", false},
	{"a ]]> b", false},
}

func TestQuickMarkup(t *testing.T) {
	for _, m := range markupTexts {
		if quick := sameTokens(t, []byte(m.text)); quick != m.quick {
			t.Errorf("%q: taken apart quickly: %v, want %v", m.text, quick, m.quick)
		}
	}
}

func FuzzQuickMarkup(f *testing.F) {
	for _, m := range markupTexts {
		f.Add([]byte(m.text))
	}
	f.Fuzz(func(t *testing.T, text []byte) { sameTokens(t, text) })
}
