package darwincore

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// Names of the objects within dynamicProperties.
const (
	verbatimGroup  = "verbatim"
	unreadGroup    = "unread"
	undecidedGroup = "undecided"
)

// property is one member of a JSON object: a text, a group, or what a
// dynamicProperties of the sheet held.
type property struct {
	key, text string
	group     *[]property
	other     bool
	value     any // where other
}

// properties collects dynamicProperties: one JSON object with sorted keys.
// Cells of columns without a meaning are under their heading; under "verbatim" is
// what was written where a term reads otherwise; under "unread" what was written for a
// measurement and not understood; under "undecided" what has an error that nobody
// decided on. It is used for one capture after the other, since most have but one
// member or two.
type properties struct {
	all                         []property
	verbatim, unread, undecided []property      // members of the groups
	columns                     map[string]int  // of the extras, by heading
	keys                        map[string]bool // of all, where they are many
}

// begin starts from what the sheet has as dynamicProperties, if anything, then
// adds the extras.
func (p *properties) begin(v *record.Value, extras []record.Extra) {
	p.drop()
	if v != nil && strings.TrimSpace(v.Text) != "" {
		var given map[string]any
		if err := json.Unmarshal([]byte(v.Text), &given); err != nil || given == nil {
			p.put("dynamicProperties", v.Text)
		}
		for key, value := range given {
			p.take(key, value)
		}
	}
	given := len(p.all)
	for i := range extras {
		e := &extras[i]
		p.note(e)
		if strings.TrimSpace(e.Text) == "" {
			continue
		}
		key := strings.TrimSpace(e.Heading)
		if find(p.all[:given], key) >= 0 || key == "" || isGroup(key) || p.elsewhere(e) {
			key = strings.TrimSpace(key + " (column " + record.ColumnLetters(e.From.Column) + ")")
		}
		p.extra(key, e.Text)
	}
	clear(p.columns)
	clear(p.keys)
}

// manyMembers is the number of members from which on their keys are looked up in
// a set.
const manyMembers = 50

// extra is put for one of many extras.
func (p *properties) extra(key, text string) {
	if len(p.all) == manyMembers {
		if p.keys == nil {
			p.keys = map[string]bool{}
		}
		for _, m := range p.all {
			p.keys[m.key] = true
		}
	}
	if len(p.all) < manyMembers || p.keys[key] {
		p.put(key, text)
	} else {
		p.all = append(p.all, property{key: key, text: text})
	}
	if n := len(p.all); n > manyMembers {
		p.keys[p.all[n-1].key] = true
	}
}

// several is the column of a heading that is not a single column's.
const several = -1

// note notes the column of a heading.
func (p *properties) note(e *record.Extra) {
	if p.columns == nil {
		p.columns = map[string]int{}
	}
	if first, there := p.columns[e.Heading]; there && first != e.From.Column {
		p.columns[e.Heading] = several
		return
	}
	p.columns[e.Heading] = e.From.Column
}

// elsewhere reports whether another column up to here has the heading.
func (p *properties) elsewhere(e *record.Extra) bool { return p.columns[e.Heading] == several }

// drop empties the collection and drops its texts.
func (p *properties) drop() {
	for _, list := range []*[]property{&p.all, &p.verbatim, &p.unread, &p.undecided} {
		clear(*list)
		*list = (*list)[:0]
	}
}

// take adds a member of an object that was given.
func (p *properties) take(key string, value any) {
	if members, ok := value.(map[string]any); ok && isGroup(key) {
		group := p.members(key)
		*group = (*group)[:0]
		for k, v := range members {
			*group = append(*group, given(k, v))
		}
		p.all = append(p.all, property{key: key, group: group})
		return
	}
	p.all = append(p.all, given(key, value))
}

func given(key string, value any) property {
	if text, ok := value.(string); ok {
		return property{key: key, text: text}
	}
	return property{key: key, other: true, value: value}
}

func (p *properties) members(group string) *[]property {
	switch group {
	case verbatimGroup:
		return &p.verbatim
	case undecidedGroup:
		return &p.undecided
	}
	return &p.unread
}

func isGroup(key string) bool {
	return key == verbatimGroup || key == unreadGroup || key == undecidedGroup
}

func find(list []property, key string) int {
	return slices.IndexFunc(list, func(m property) bool { return m.key == key })
}

// put adds a text, behind what the key already has.
func (p *properties) put(key, text string) {
	if strings.TrimSpace(text) != "" {
		p.all = addTo(p.all, key, text)
	}
}

// addTo adds a text to a list of members. It goes behind a text that the key already
// has, each text once; something else keeps its key, and the text gets another.
func addTo(list []property, key, text string) []property {
	i := find(list, key)
	for i >= 0 && list[i].other {
		key += " (as text)"
		i = find(list, key)
	}
	switch {
	case i < 0:
		return append(list, property{key: key, text: text})
	case list[i].group != nil:
		*list[i].group = addTo(*list[i].group, key, text)
	case !slices.Contains(strings.Split(list[i].text, remarkSeparator), text):
		list[i].text += remarkSeparator + text
	}
	return list
}

// nest adds a text to a group. What else has the key of the group goes into it.
func (p *properties) nest(name, key, text string) {
	group := p.members(name)
	switch i := find(p.all, name); {
	case i < 0:
		*group = (*group)[:0]
		p.all = append(p.all, property{key: name, group: group})
	case p.all[i].group == nil:
		old := p.all[i]
		old.key = "dynamicProperties"
		*group = append((*group)[:0], old)
		p.all[i] = property{key: name, group: group}
	}
	*group = addTo(*group, key, text)
}

// readings keeps what was written for a measurement that could not be read, or
// that nobody decided on, or in words for one that was not taken, and the label
// of the bag.
func (p *properties) readings(published []*record.Reading, w *record.Weighing) {
	for i, r := range published {
		switch {
		case taken(r) || r.Derived || strings.TrimSpace(r.Verbatim) == "":
		case r.Undecided != "":
			if !slices.ContainsFunc(published[:i], func(o *record.Reading) bool { return o.From() == r.From() && o.Measurement == r.Measurement }) {
				p.nest(undecidedGroup, r.Measurement, r.Verbatim)
			}
		case r.State == record.Unread:
			p.nest(unreadGroup, r.Measurement, r.Verbatim)
		case r.State == record.Missing && !quantity.Blank(r.Verbatim):
			p.nest(verbatimGroup, r.Measurement, r.Verbatim)
		}
	}
	if w == nil {
		return
	}
	p.put("bag", w.BagLabel)
	if w.Scale != "" && undecidedOn(published, w.Scale) {
		p.nest(undecidedGroup, "scale", w.Scale)
	}
}

// undecidedOn reports whether something that was read on a scale is undecided, and
// nothing that was read on it is published, so that no measurement names the scale.
func undecidedOn(published []*record.Reading, scale string) bool {
	some := false
	for _, r := range published {
		if r.Instrument == scale {
			if taken(r) {
				return false
			}
			some = some || r.Undecided != ""
		}
	}
	return some
}

// appendJSON appends the object, or nothing where it has no members.
func (p *properties) appendJSON(b []byte) []byte {
	if len(p.all) == 0 {
		return b
	}
	return appendObject(b, p.all)
}

func appendObject(b []byte, members []property) []byte {
	slices.SortFunc(members, func(a, b property) int { return strings.Compare(a.key, b.key) })
	b = append(b, '{')
	for i, m := range members {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(appendString(b, m.key), ':')
		switch {
		case m.group != nil:
			b = appendObject(b, *m.group)
		case m.other:
			b = appendValue(b, m.value)
		default:
			b = appendString(b, m.text)
		}
	}
	return append(b, '}')
}

// appendValue appends a value as it was read from JSON.
func appendValue(b []byte, value any) []byte {
	var out bytes.Buffer
	if err := record.WriteJSON(&out, value, "", ""); err != nil {
		return append(b, "null"...)
	}
	return append(b, bytes.TrimSpace(out.Bytes())...)
}
