package prove

import (
	"encoding/xml"
	"slices"
)

// expression is what may still come within an element: the content model with
// what was seen taken off its front (Brzozowski 1964, J. ACM 11: 481). The nil
// expression takes nothing more.
type expression struct {
	kind  byte // 'e' empty, 'l' element, 's' sequence, 'c' choice, 'r' repeat
	leaf  *particle
	items []*expression
	min   int
	max   int // -1 without bound
}

var empty = &expression{kind: 'e'}

// compile turns a particle into an expression.
func compile(p *particle) *expression {
	if p == nil {
		return empty
	}
	var e *expression
	switch p.Kind {
	case "el", "any":
		e = &expression{kind: 'l', leaf: p}
	default:
		e = &expression{kind: 's'}
		if p.Kind == "choice" {
			e.kind = 'c'
		}
		for _, i := range p.Items {
			e.items = append(e.items, compile(i))
		}
	}
	return repeat(e, p.Min, p.Max)
}

func repeat(e *expression, min, max int) *expression {
	switch {
	case max == 0:
		return empty
	case min == 1 && max == 1:
		return e
	}
	return &expression{kind: 'r', items: []*expression{e}, min: min, max: max}
}

// nullable reports whether nothing more has to come.
func (e *expression) nullable() bool {
	if e == nil {
		return false
	}
	switch e.kind {
	case 'e':
		return true
	case 's':
		return !slices.ContainsFunc(e.items, func(i *expression) bool { return !i.nullable() })
	case 'c':
		return len(e.items) == 0 || slices.ContainsFunc(e.items, (*expression).nullable)
	case 'r':
		return e.min == 0 || e.items[0].nullable()
	}
	return false
}

// after returns what may come after an element, and the particle that took it;
// nil if the element may not come now.
func (e *expression) after(name xml.Name) (*expression, *particle) {
	if e == nil {
		return nil, nil
	}
	switch e.kind {
	case 'l':
		if e.leaf.Kind == "any" || e.leaf.Name == name.Local && e.leaf.Space == name.Space {
			return empty, e.leaf
		}
	case 's':
		for i, item := range e.items {
			if rest, p := item.after(name); rest != nil {
				return sequence(append([]*expression{rest}, e.items[i+1:]...)), p
			}
			if !item.nullable() {
				return nil, nil
			}
		}
	case 'c':
		for _, item := range e.items {
			if rest, p := item.after(name); rest != nil {
				return rest, p
			}
		}
	case 'r':
		rest, p := e.items[0].after(name)
		if rest == nil {
			return nil, nil
		}
		more := e.max
		if more > 0 {
			more--
		}
		return sequence([]*expression{rest, repeat(e.items[0], max(e.min-1, 0), more)}), p
	}
	return nil, nil
}

func sequence(items []*expression) *expression {
	kept := items[:0:0]
	for _, i := range items {
		if i.kind != 'e' {
			kept = append(kept, i)
		}
	}
	switch len(kept) {
	case 0:
		return empty
	case 1:
		return kept[0]
	}
	return &expression{kind: 's', items: kept}
}

// expected lists the elements that may come next.
func (e *expression) expected() []string {
	if e == nil {
		return nil
	}
	var out []string
	switch e.kind {
	case 'l':
		if e.leaf.Kind == "any" {
			return []string{"any element"}
		}
		return []string{"<" + e.leaf.Name + ">"}
	case 's':
		for _, i := range e.items {
			out = append(out, i.expected()...)
			if !i.nullable() {
				break
			}
		}
	default:
		for _, i := range e.items {
			out = append(out, i.expected()...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
