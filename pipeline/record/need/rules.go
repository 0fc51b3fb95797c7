package need

import (
	"testing"

	"spadefoot/schemas"
)

// Rules checks that the rules of a stage are described in
// schemas/rules/STAGE.csv at the levels that they are raised with, and that no
// others are. levels holds the name of the level by code.
func Rules(t *testing.T, stage string, levels map[string]string) {
	t.Helper()
	rows, err := schemas.Table[schemas.Rule]("rules/" + stage + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	described := map[string]bool{}
	for _, r := range rows {
		described[r.Code] = true
		if l, ok := levels[r.Code]; !ok || l != r.Level || r.Stage != stage {
			t.Errorf("%s: level %s and stage %s in the table, level %q here", r.Code, r.Level, r.Stage, l)
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
