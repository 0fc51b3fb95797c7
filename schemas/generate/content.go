package main

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
)

func (c *compiler) particle(n *node, path string) (*particle, error) {
	p := &particle{Min: 1, Max: 1}
	if s, ok := n.attrs["minOccurs"]; ok {
		p.Min, _ = strconv.Atoi(s)
	}
	if s, ok := n.attrs["maxOccurs"]; ok {
		if p.Max, _ = strconv.Atoi(s); s == "unbounded" {
			p.Max = -1
		}
	}
	switch n.name {
	case "element":
		return p, c.element(p, n, path)
	case "any":
		p.Kind = "any"
		return p, nil
	case "group":
		space, local := n.file.resolve(n.attrs["ref"])
		g := c.files[space].parts["group "+local]
		p.Kind = "seq"
		inner, err := c.particle(g.first("sequence", "choice"), path)
		p.Items = []*particle{inner}
		return p, err
	case "sequence":
		p.Kind = "seq"
	case "choice":
		p.Kind = "choice"
	default:
		return nil, fmt.Errorf("%s: <%s> is not handled", path, n.name)
	}
	for _, m := range n.all("element", "any", "group", "sequence", "choice") {
		q, err := c.particle(m, path)
		if err != nil {
			return nil, err
		}
		p.Items = append(p.Items, q)
	}
	return p, nil
}

func (c *compiler) element(p *particle, n *node, path string) (err error) {
	p.Kind = "el"
	if ref := n.attrs["ref"]; ref != "" {
		p.Space, p.Name = n.file.resolve(ref)
		p.Type, err = c.elementType(c.files[p.Space].parts["element "+p.Name], p.Name)
		return err
	}
	p.Name = n.attrs["name"]
	if n.file.qualified {
		p.Space = n.file.space
	}
	p.Type, err = c.elementType(n, path+"/"+p.Name)
	return err
}

func (c *compiler) simple(n *node, name, path string) error {
	if _, done := c.out.Simple[name]; done {
		return nil
	}
	v := &modelValue{}
	c.out.Simple[name] = v
	var err error
	if u := n.first("union"); u != nil {
		for _, q := range strings.Fields(u.attrs["memberTypes"]) {
			m, err := c.named(u.file, q)
			if err != nil {
				return err
			}
			v.OneOf = append(v.OneOf, m)
		}
		for i, s := range u.all("simpleType") {
			m := fmt.Sprintf("%s/%d", name, i)
			if err := c.simple(s, m, path); err != nil {
				return err
			}
			v.OneOf = append(v.OneOf, m)
		}
		return nil
	}
	if l := n.first("list"); l != nil {
		v.ListOf, err = c.named(l.file, l.attrs["itemType"])
		return err
	}
	r := n.first("restriction")
	if v.Base, err = c.named(r.file, r.attrs["base"]); err != nil {
		return err
	}
	return facets(v, r)
}

func facets(v *modelValue, r *node) error {
	for _, f := range r.children {
		value := f.attrs["value"]
		x, err := strconv.ParseFloat(value, 64)
		switch f.name {
		case "enumeration":
			v.Values = append(v.Values, value)
		case "minInclusive":
			v.Low = &x
		case "maxInclusive":
			v.High = &x
		case "minLength", "pattern":
			// The one pattern of the schemas asks for a character that is not
			// white space.
			v.NonEmpty = true
			err = nil
		default:
			return fmt.Errorf("<%s> is not handled", f.name)
		}
		if err != nil && f.name != "enumeration" {
			return err
		}
	}
	sort.Strings(v.Values)
	return nil
}
