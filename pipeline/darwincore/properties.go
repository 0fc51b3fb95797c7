package darwincore

import (
	"bytes"
	"encoding/json"
	"strings"

	"spadefoot/pipeline/record"
)

// properties collects dynamicProperties: one JSON object with sorted keys.
// Cells of columns without a meaning stand under their heading; under
// "verbatim" what was written where a term reads otherwise; under "unread"
// what stood in the place of a measurement and was not understood.
type properties struct{ m map[string]any }

// newProperties starts from what the capture has as dynamicProperties, then
// adds the extras.
func newProperties(c *record.Capture) *properties {
	p := &properties{}
	if v := c.Value("dynamicProperties"); v != nil && strings.TrimSpace(v.Text) != "" {
		if err := json.Unmarshal([]byte(v.Text), &p.m); err != nil || p.m == nil {
			p.m = map[string]any{"dynamicProperties": v.Text}
		}
	}
	for _, e := range c.Extras {
		if strings.TrimSpace(e.Text) == "" {
			continue
		}
		key := strings.TrimSpace(e.Heading)
		if _, taken := p.m[key]; taken || key == "" || key == "verbatim" || key == "unread" {
			key = strings.TrimSpace(key + " (column " + record.ColumnLetters(e.From.Column) + ")")
		}
		p.put(key, e.Text)
	}
	return p
}

func (p *properties) put(key, text string) {
	if strings.TrimSpace(text) != "" {
		p.set(key, text)
	}
}

// set makes the object at its first property: most captures have none.
func (p *properties) set(key string, value any) {
	if p.m == nil {
		p.m = map[string]any{}
	}
	p.m[key] = value
}

func (p *properties) verbatim(term, text string) { p.nest("verbatim", term, text) }

func (p *properties) nest(group, key, text string) {
	m, ok := p.m[group].(map[string]any)
	if !ok {
		m = map[string]any{}
		if old, there := p.m[group]; there {
			m["dynamicProperties"] = old
		}
		p.set(group, m)
	}
	if old, ok := m[key].(string); ok {
		text = old + remarkSeparator + text
	}
	m[key] = text
}

// readings keeps what was written for a measurement that could not be read.
func (p *properties) readings(c *record.Capture) {
	for _, r := range published(c) {
		if r.State == record.Unread && strings.TrimSpace(r.Verbatim) != "" {
			p.nest("unread", r.Measurement, r.Verbatim)
		}
	}
	if w := c.Weighing; w != nil && w.BagLabel != "" {
		if _, taken := p.m["bag"]; !taken {
			p.put("bag", w.BagLabel)
		}
	}
}

func (p *properties) json() string {
	if len(p.m) == 0 {
		return ""
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(p.m); err != nil {
		return ""
	}
	return strings.TrimSpace(b.String())
}
