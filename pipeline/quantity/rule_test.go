package quantity

import (
	"testing"

	"spadefoot/schemas"
)

// Every rule is described, at the level it is raised with, and no other is.
func TestRules(t *testing.T) {
	rows, err := schemas.Table[schemas.Rule]("rules/quantity.csv")
	if err != nil {
		t.Fatal(err)
	}
	described := map[string]bool{}
	for _, r := range rows {
		described[r.Code] = true
		if l, ok := levels[r.Code]; !ok || l.String() != r.Level || r.Stage != "quantity" {
			t.Errorf("%s: level %s and stage %s in the table, %v here", r.Code, r.Level, r.Stage, l)
		}
		if len(r.Summary) == 0 || len(r.Summary) >= 80 || r.Help == "" {
			t.Errorf("%s: summary of %d characters, help %q", r.Code, len(r.Summary), r.Help)
		}
	}
	for code := range levels {
		if !described[code] {
			t.Errorf("%s is not described", code)
		}
	}
}
