package mapping

import (
	"strings"

	"spadefoot/pipeline/record"
)

// observed takes the observer from the heading where the pattern has a group of
// that name: "SVL IV" is the snout-vent length that IV took. The heading's own
// words may say who IV is.
func (h *Heading) observed(m *record.Meaning, groups []string) {
	at := h.pattern.SubexpIndex("observer")
	if m.Role != record.Measurement || at < 1 || at >= len(groups) {
		return
	}
	name := strings.TrimSpace(groups[at])
	if own, ok := h.Words[name]; ok {
		name = own
	}
	if name != "" {
		m.Observer = name
	}
}
