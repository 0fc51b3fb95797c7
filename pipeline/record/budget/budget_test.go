package budget

import (
	"strings"
	"testing"
)

func TestSettingsStandBeforeTheEnvironmentAndThatBeforeTheUsual(t *testing.T) {
	t.Setenv("SPADEFOOT_BUDGETS_CELLS", "7")
	t.Setenv("SPADEFOOT_BUDGETS_TEXT", "8")
	t.Setenv("SPADEFOOT_BUDGETS_NODES", "many")
	b := Budgets{Text: 9}.OrUsual()
	if b.Cells != 7 || b.Text != 9 || b.Nodes != usual.Nodes || b.Unpacked != usual.Unpacked {
		t.Errorf("%+v", b)
	}
}

func TestTheErrorNamesWhatRaisesTheBudget(t *testing.T) {
	err := &Exceeded{File: "survey.yaml", Key: Nodes, What: "more than 3 keys and values"}
	if want := "survey.yaml: more than 3 keys and values; if you trust the file, raise SPADEFOOT_BUDGETS_NODES in the environment"; err.Error() != want {
		t.Errorf("%q", err)
	}
	if got := Advice(Cells); !strings.Contains(got, "budgets.cells in survey.yaml") {
		t.Errorf("%q", got)
	}
}
