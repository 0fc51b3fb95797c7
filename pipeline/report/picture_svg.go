package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"html/template"
	"image/color"
	"io"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg/vgsvg"
)

// inline makes a drawing part of the page: short, with a title and a
// description, with classes in place of colours, and with the marks of each
// entry as a link to it. Everything but the links is hidden from screen
// readers, which have the description, the caption and the data.
func inline(canvas *vgsvg.Canvas, s *scene, links []svgLink) template.HTML {
	var raw bytes.Buffer
	if _, err := canvas.WriteTo(&raw); err != nil {
		return ""
	}
	r := rewriter{groups: make([]bytes.Buffer, len(links))}
	if err := r.read(&raw); err != nil {
		return template.HTML("<p>This picture could not be drawn: " + html.EscapeString(err.Error()) + "</p>")
	}
	role := "img"
	if len(links) > 0 {
		role = "group"
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="%s" aria-labelledby="%[4]s-t %[4]s-d">`,
		short(float64(pictureWidth)), short(float64(s.height)), role, s.id)
	fmt.Fprintf(&b, `<title id="%s-t">%s</title><desc id="%[1]s-d">%[3]s</desc>`, s.id, html.EscapeString(s.title), html.EscapeString(s.desc))
	fmt.Fprintf(&b, `<g aria-hidden="true" transform="%s">%s</g>`, r.flip, r.body.String())
	if len(links) > 0 {
		fmt.Fprintf(&b, `<g transform="%s">`, r.flip)
		for i, l := range links {
			name := html.EscapeString(fmt.Sprintf("Entry %d: %s", l.no, l.name))
			fmt.Fprintf(&b, `<a id="%s" href="#finding-%d"><title>%s</title>%s</a>`, l.anchor, l.no, name, r.groups[i].String())
		}
		b.WriteString(`</g>`)
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// rewriter turns the backend's SVG into ours.
type rewriter struct {
	flip   string // the transform that puts the origin at the bottom
	body   bytes.Buffer
	groups []bytes.Buffer // of the links
	depth  int            // open groups below the flip
}

func (r *rewriter) read(raw io.Reader) error {
	d := xml.NewDecoder(raw)
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		switch e := t.(type) {
		case xml.StartElement:
			if err := r.start(d, e); err != nil {
				return err
			}
		case xml.EndElement:
			if e.Name.Local == "g" && r.depth > 0 {
				r.depth--
				r.body.WriteString("</g>")
			}
		}
	}
}

func (r *rewriter) start(d *xml.Decoder, e xml.StartElement) error {
	a := attributes(e)
	switch e.Name.Local {
	case "g":
		if r.flip == "" {
			r.flip = a["transform"]
			return nil
		}
		r.depth++
		fmt.Fprintf(&r.body, `<g transform="%s">`, a["transform"])
	case "path":
		st := styles(a["style"])
		out, class := r.to(st)
		fmt.Fprintf(out, `<path class="%s"%s d="%s"/>`, class, strokes(st), shortPath(a["d"]))
	case "text":
		var words string
		if err := d.DecodeElement(&words, &e); err != nil {
			return err
		}
		st := styles(a["style"])
		out, class := r.to(st)
		fmt.Fprintf(out, `<text class="%s%s" transform="scale(1,-1)" x="%s" y="%s">%s</text>`,
			class, typeClass(st), shortNumber(a["x"]), shortNumber(a["y"]), html.EscapeString(words))
	}
	return nil
}

// to finds where an element goes and the class of its colour.
func (r *rewriter) to(st map[string]string) (*bytes.Buffer, string) {
	kind, name := "f", st["fill"]
	if name == "none" {
		kind, name = "k", st["stroke"]
	}
	i, link := role(parseColor(name))
	if link >= 0 && link < len(r.groups) {
		if kind == "k" {
			return &r.groups[link], "k" + strconv.Itoa(int(i)) + " hit"
		}
		return &r.groups[link], kind + strconv.Itoa(int(i))
	}
	return &r.body, kind + strconv.Itoa(int(i))
}

func attributes(e xml.StartElement) map[string]string {
	m := map[string]string{}
	for _, a := range e.Attr {
		m[a.Name.Local] = a.Value
	}
	return m
}

func styles(s string) map[string]string {
	m := map[string]string{}
	for part := range strings.SplitSeq(s, ";") {
		if k, v, ok := strings.Cut(part, ":"); ok {
			m[strings.TrimSpace(k)] = strings.TrimSpace(v)
		}
	}
	return m
}

// strokes gives the attributes of a line that differ from the usual.
func strokes(st map[string]string) string {
	if st["fill"] != "none" {
		return ""
	}
	var b strings.Builder
	if w := st["stroke-width"]; w != "" && w != "1" {
		fmt.Fprintf(&b, ` stroke-width="%s"`, w)
	}
	if dash := st["stroke-dasharray"]; dash != "" && dash != "none" {
		fmt.Fprintf(&b, ` stroke-dasharray="%s"`, dash)
	}
	return b.String()
}

func typeClass(st map[string]string) string {
	class := ""
	if st["font-size"] == fmt.Sprintf("%gpx", float64(largeType)) {
		class += " large"
	}
	if st["font-style"] == "italic" {
		class += " it"
	}
	if st["font-weight"] == "bold" {
		class += " b"
	}
	return class
}

func parseColor(s string) color.RGBA {
	v, err := strconv.ParseUint(strings.TrimPrefix(s, "#"), 16, 32)
	if err != nil {
		return color.RGBA{}
	}
	return color.RGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 255}
}
