package prove

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/text/encoding/htmlindex"

	"spadefoot/pipeline/record/budget"
)

// element is one element of an XML file that is small enough to hold.
type element struct {
	name     xml.Name
	attrs    []xml.Attr
	children []*element
	data     []byte // character data directly within, joined
	line     int
}

func (e *element) attr(name string) (string, bool) {
	for _, a := range e.attrs {
		if a.Name.Space == "" && a.Name.Local == name {
			return a.Value, true
		}
	}
	return "", false
}

func (e *element) text() string { return strings.TrimSpace(string(e.data)) }

func (e *element) all(name string) []*element {
	var out []*element
	for _, c := range e.children {
		if c.name.Local == name {
			out = append(out, c)
		}
	}
	return out
}

// count counts the elements of a name below, at any depth.
func (e *element) count(name string) int {
	n := 0
	for _, c := range e.children {
		if c.name.Local == name {
			n++
		}
		n += c.count(name)
	}
	return n
}

// Bounds on an XML file: metadata beyond them is not metadata.
const (
	maxXML   = 64 << 20
	maxDepth = 200
)

// xmlError is a fault of an XML file as such, with its line.
type xmlError struct {
	line    int
	why     string
	hostile bool
}

func (e *xmlError) Error() string { return fmt.Sprintf("line %d: %s", e.line, e.why) }

// readTree reads a whole XML file. A document type declaration is refused,
// whatever it declares: neither entities nor external definitions are ever
// looked at.
func readTree(r io.Reader) (*element, error) {
	in := &io.LimitedReader{R: r, N: maxXML}
	text, mark, err := decoded(in, "UTF-8")
	if err != nil {
		return nil, err
	}
	d := xml.NewDecoder(text)
	d.CharsetReader = func(label string, r io.Reader) (io.Reader, error) {
		if mark != "" { // which gave the encoding, and the text is UTF-8 already
			return r, nil
		}
		e, err := htmlindex.Get(label)
		if err != nil {
			return nil, fmt.Errorf("the encoding %q is not known", label)
		}
		return e.NewDecoder().Reader(r), nil
	}
	var root *element
	var open []*element
	left := budget.Usual().Nodes
	for {
		// Where a token starts is where the one before it ended.
		at, _ := d.InputPos()
		token, err := d.Token()
		switch {
		case errors.Is(err, io.EOF) && in.N > 0:
			if root == nil {
				return nil, &xmlError{line: at, why: "there is no element"}
			}
			return root, nil
		case in.N <= 0:
			return nil, &xmlError{at, fmt.Sprintf("the file is longer than %d bytes", maxXML), true}
		case err != nil:
			return nil, xmlFault(err, at)
		}
		switch t := token.(type) {
		case xml.Directive:
			return nil, &xmlError{at, "it has a document type declaration, which could define entities", true}
		case xml.StartElement:
			if left--; left < 0 {
				return nil, &xmlError{at, fmt.Sprintf("it has more than %d elements; %s", budget.Usual().Nodes, budget.AdviceWithoutSurvey(budget.Nodes)), true}
			}
			e := &element{name: t.Name, attrs: append([]xml.Attr(nil), t.Attr...), line: at}
			switch {
			case len(open) > 0:
				parent := open[len(open)-1]
				parent.children = append(parent.children, e)
			case root != nil:
				return nil, &xmlError{line: at, why: "there is a second root element <" + t.Name.Local + ">"}
			default:
				root = e
			}
			if dup := repeated(t.Attr); dup != "" {
				return nil, &xmlError{line: at, why: "the attribute " + dup + " stands twice"}
			}
			if open = append(open, e); len(open) > maxDepth {
				return nil, &xmlError{at, fmt.Sprintf("elements are nested more than %d levels deep", maxDepth), true}
			}
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				open[len(open)-1].data = append(open[len(open)-1].data, t...)
			} else if strings.TrimSpace(strings.TrimPrefix(string(t), "\ufeff")) != "" {
				return nil, &xmlError{line: at, why: "there is text outside the root element"}
			}
		}
	}
}

func repeated(attrs []xml.Attr) string {
	seen := map[xml.Name]bool{}
	for _, a := range attrs {
		if seen[a.Name] {
			return a.Name.Local
		}
		seen[a.Name] = true
	}
	return ""
}

func xmlFault(err error, at int) error {
	if syntax, ok := errors.AsType[*xml.SyntaxError](err); ok {
		why := syntax.Msg
		hostile := strings.Contains(why, "invalid character entity")
		return &xmlError{syntax.Line, why, hostile}
	}
	return &xmlError{line: at, why: err.Error()}
}
