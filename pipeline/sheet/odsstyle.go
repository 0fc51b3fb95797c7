package sheet

import (
	"cmp"
	"encoding/xml"
	"io"
)

// odsStyles are the styles of an OpenDocument workbook, by name (ODF 1.3 Part
// 3, 16): what a date shows, the colour of a cell, whether a tab is hidden.
type odsStyles struct {
	cells    map[string]odsStyle
	dates    map[string]dateParts
	struck   map[string]bool // of texts: crossed out
	hidden   map[string]bool // of tables
	resolved map[string]cellStyle
}

// odsStyle is a cell style as written; what it lacks comes from its parent.
type odsStyle struct {
	parent, data, fill, line string
}

func newODSStyles() *odsStyles {
	return &odsStyles{cells: map[string]odsStyle{}, dates: map[string]dateParts{}, struck: map[string]bool{}, hidden: map[string]bool{}, resolved: map[string]cellStyle{}}
}

// read goes through styles.xml.
func (s *odsStyles) read(d *xml.Decoder) error {
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if e, ok := tok.(xml.StartElement); ok && e.Name.Space == nsOffice && (e.Name.Local == "styles" || e.Name.Local == "automatic-styles") {
			if err := s.inside(d); err != nil {
				return err
			}
		}
	}
}

// inside reads the styles up to the end of the element that holds them.
func (s *odsStyles) inside(d *xml.Decoder) error {
	family, name := "", ""
	for depth := 1; depth > 0; {
		tok, err := d.Token()
		if err != nil {
			return err
		}
		switch e := tok.(type) {
		case xml.EndElement:
			depth--
		case xml.StartElement:
			depth++
			if depth == 2 {
				family, name = s.begin(e)
			} else {
				s.property(e, family, name)
			}
		}
	}
	return nil
}

func (s *odsStyles) begin(e xml.StartElement) (family, name string) {
	switch {
	case e.Name.Space == nsStyle && e.Name.Local == "style":
		family, name = attr(e, "family"), attr(e, "name")
		if family == "table-cell" {
			s.cells[name] = odsStyle{parent: attr(e, "parent-style-name"), data: attr(e, "data-style-name")}
		}
	case e.Name.Space == nsNumber && (e.Name.Local == "date-style" || e.Name.Local == "time-style"):
		family, name = "date", attr(e, "name")
		s.dates[name] = dateParts{elapsed: attr(e, "truncate-on-overflow") == "false"}
	}
	return family, name
}

func (s *odsStyles) property(e xml.StartElement, family, name string) {
	switch {
	case family == "table" && e.Name.Local == "table-properties":
		if attr(e, "display") == "false" {
			s.hidden[name] = true
		}
	case family == "table-cell" && e.Name.Local == "table-cell-properties":
		if c := attrIn(e, nsFo, "background-color"); c != "" {
			st := s.cells[name]
			st.fill = c
			s.cells[name] = st
		}
	case e.Name.Local == "text-properties":
		line := cmp.Or(attr(e, "text-line-through-style"), attr(e, "text-line-through-type"))
		switch family {
		case "text":
			s.struck[name] = crosses(line)
		case "table-cell":
			st := s.cells[name]
			st.line = line
			s.cells[name] = st
		}
	case family == "date" && e.Name.Space == nsNumber:
		p := s.dates[name]
		switch e.Name.Local {
		case "year":
			p.year = true
		case "month":
			p.month = true
		case "day":
			p.day = true
		case "hours":
			p.hour = true
		case "minutes":
			p.minute = true
		case "seconds":
			p.second = true
		}
		s.dates[name] = p
	}
}

// cell resolves a style through its parents.
func (s *odsStyles) cell(name string) cellStyle {
	if c, ok := s.resolved[name]; ok {
		return c
	}
	var out cellStyle
	fill, data, line := "", "", ""
	for at, steps := name, 0; at != "" && steps < 20; steps++ {
		st, ok := s.cells[at]
		if !ok {
			break
		}
		fill, data, line, at = cmp.Or(fill, st.fill), cmp.Or(data, st.data), cmp.Or(line, st.line), st.parent
	}
	if fill != "transparent" {
		out.fill = fillColour(fill)
	}
	out.struck = crosses(line)
	out.format.date = s.dates[data]
	s.resolved[name] = out
	return out
}

// crosses reports whether a style of the line through a text is one.
func crosses(line string) bool { return line != "" && line != "none" }

func attrIn(e xml.StartElement, space, local string) string {
	for _, a := range e.Attr {
		if a.Name.Space == space && a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}
