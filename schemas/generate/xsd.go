package main

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

const xsdSpace = "http://www.w3.org/2001/XMLSchema"

// node is one element of a schema file, without annotations.
type node struct {
	name     string
	attrs    map[string]string
	children []*node
	file     *schemaFile
}

func (n *node) all(names ...string) []*node {
	var out []*node
	for _, c := range n.children {
		for _, name := range names {
			if c.name == name {
				out = append(out, c)
			}
		}
	}
	return out
}

func (n *node) first(names ...string) *node {
	if all := n.all(names...); len(all) > 0 {
		return all[0]
	}
	return nil
}

// schemaFile is one schema with what its references need.
type schemaFile struct {
	space     string
	qualified bool
	prefixes  map[string]string
	parts     map[string]*node // kind and name: "complexType Person"
}

// resolve turns a name with a prefix into its namespace and local name.
func (f *schemaFile) resolve(q string) (space, local string) {
	prefix, local, ok := strings.Cut(q, ":")
	if !ok {
		return f.prefixes[""], q
	}
	if prefix == "xml" {
		return "http://www.w3.org/XML/1998/namespace", local
	}
	return f.prefixes[prefix], local
}

// loadSchemas reads schema files into a table by namespace.
func loadSchemas(paths ...string) (map[string]*schemaFile, error) {
	out := map[string]*schemaFile{}
	for _, p := range paths {
		f, err := loadSchema(p)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", filepath.Base(p), err)
		}
		out[f.space] = f
	}
	return out, nil
}

func loadSchema(path string) (*schemaFile, error) {
	in, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	f := &schemaFile{prefixes: map[string]string{}, parts: map[string]*node{}}
	root, err := readNodes(xml.NewDecoder(in), f)
	if err != nil {
		return nil, err
	}
	f.space = root.attrs["targetNamespace"]
	f.qualified = root.attrs["elementFormDefault"] == "qualified"
	for _, c := range root.children {
		if name := c.attrs["name"]; name != "" {
			f.parts[c.name+" "+name] = c
		}
	}
	return f, nil
}

func readNodes(d *xml.Decoder, f *schemaFile) (*node, error) {
	root := &node{file: f}
	open := []*node{root}
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return root.children[0], nil
		}
		if err != nil {
			return nil, err
		}
		switch t := t.(type) {
		case xml.StartElement:
			if t.Name.Space != xsdSpace || t.Name.Local == "annotation" {
				if err := d.Skip(); err != nil {
					return nil, err
				}
				continue
			}
			n := &node{name: t.Name.Local, attrs: map[string]string{}, file: f}
			for _, a := range t.Attr {
				switch {
				case a.Name.Space == "xmlns":
					f.prefixes[a.Name.Local] = a.Value
				case a.Name.Space == "" && a.Name.Local == "xmlns":
					f.prefixes[""] = a.Value
				default:
					n.attrs[a.Name.Local] = a.Value
				}
			}
			parent := open[len(open)-1]
			parent.children = append(parent.children, n)
			open = append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		}
	}
}
