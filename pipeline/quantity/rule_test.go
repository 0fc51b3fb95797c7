package quantity

import (
	"testing"

	"spadefoot/pipeline/record/need"
)

// Every rule is described, at the level it is raised with, and no other is.
func TestRules(t *testing.T) {
	names := map[string]string{}
	for code, level := range levels {
		names[code] = level.String()
	}
	need.Rules(t, "quantity", names)
}
