package vocabulary

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

var lists = []string{"sex", "life_stage", "basis_of_record", "occurrence_status", "establishment_means",
	"degree_of_establishment", "reproductive_condition", "vitality", "sampling_protocol"}

func load(t testing.TB, name string) *List {
	t.Helper()
	l, err := Load(name)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestFind(t *testing.T) {
	own := map[string]string{"W": "male", "bulle": "Männchen", "zz": "gynandromorph", "leer": ""}
	for _, c := range []struct {
		list, text string
		extra      map[string]string
		value      string
		ok         bool
		rule       string
		suggestion string
	}{
		{list: "sex", text: "M", value: "male", ok: true},
		{list: "sex", text: "m.", value: "male", ok: true},
		{list: "sex", text: " ♂ ", value: "male", ok: true},
		{list: "sex", text: "♂\ufe0f", value: "male", ok: true},
		{list: "sex", text: "MÂLE", value: "male", ok: true},
		{list: "sex", text: "ma\u0302le", value: "male", ok: true},
		{list: "sex", text: "Maennchen", value: "male", ok: true},
		{list: "sex", text: "Mannchen", value: "male", ok: true},
		{list: "sex", text: "macho", value: "male", ok: true},
		{list: "sex", text: "fêmea", value: "female", ok: true},
		{list: "sex", text: "H", value: "female", ok: true},
		{list: "sex", text: "w", value: "female", ok: true},
		{list: "sex", text: "w", extra: own, value: "male", ok: true},
		{list: "sex", text: "Bulle", extra: own, value: "male", ok: true},
		{list: "sex", text: "ZZ", extra: own, value: "gynandromorph", ok: true, rule: RuleOwn},
		{list: "sex", text: "leer", extra: own, ok: true},
		{list: "sex", text: "?", value: "indeterminate", ok: true},
		{list: "sex", text: "Unk.", value: "indeterminate", ok: true},
		{list: "sex", text: "M?", value: "male", ok: true, rule: RuleDoubtful},
		{list: "sex", text: "", ok: true},
		{list: "sex", text: " — ", ok: true},
		{list: "sex", text: "N/A", ok: true},
		{list: "sex", text: "juv", rule: RuleElsewhere},
		{list: "sex", text: "Kaulquappe", rule: RuleElsewhere},
		{list: "sex", text: "femlae", rule: RuleUnknown, suggestion: "female"},
		{list: "sex", text: "male, calling", rule: RuleUnknown, suggestion: "male"},
		{list: "sex", text: "male or female", rule: RuleUnknown},
		{list: "sex", text: "x", rule: RuleUnknown},
		{list: "life_stage", text: "Tadpole", value: "larva", ok: true},
		{list: "life_stage", text: "têtard", value: "larva", ok: true},
		{list: "life_stage", text: "Hüpfling", value: "metamorph", ok: true},
		{list: "life_stage", text: "YOY", value: "juvenile", ok: true},
		{list: "life_stage", text: "Sub-Adult", value: "subadult", ok: true},
		{list: "life_stage", text: "M", rule: RuleElsewhere},
		{list: "life_stage", text: "Adult, 1 Egg Stage", rule: RuleUnknown},
		{list: "life_stage", text: "tadpoole", rule: RuleUnknown, suggestion: "larva"},
		{list: "basis_of_record", text: "human observation", value: "HumanObservation", ok: true},
		{list: "basis_of_record", text: "humanobservation", value: "HumanObservation", ok: true},
		{list: "basis_of_record", text: "Voucher", value: "PreservedSpecimen", ok: true},
		{list: "basis_of_record", text: "Wildkamera", value: "MachineObservation", ok: true},
		{list: "occurrence_status", text: "1", value: "present", ok: true},
		{list: "occurrence_status", text: "+", value: "present", ok: true},
		{list: "occurrence_status", text: "0", value: "absent", ok: true},
		{list: "establishment_means", text: "non-native", value: "introduced", ok: true},
		{list: "reproductive_condition", text: "GRAVID", value: "gravid", ok: true},
		{list: "reproductive_condition", text: "not gravid", value: "not gravid", ok: true},
		{list: "reproductive_condition", text: "0", rule: RuleUnknown},
		{list: "reproductive_condition", text: "np x", rule: RuleUnknown},
		{list: "reproductive_condition", text: "gravdi", rule: RuleUnknown, suggestion: "gravid"},
		{list: "vitality", text: "DOR", value: "dead", ok: true},
		{list: "sampling_protocol", text: "dipnet", value: "dip net", ok: true},
	} {
		value, ok, p := load(t, c.list).Find(c.text, c.extra)
		var rule, suggestion string
		if p != nil {
			rule, suggestion = p.Rule, p.Suggestion
			if p.Reason == "" || p.Level == 0 {
				t.Errorf("%s %q: problem without reason or level: %+v", c.list, c.text, p)
			}
		}
		if value != c.value || ok != c.ok || rule != c.rule || suggestion != c.suggestion {
			t.Errorf("%s %q: got %q %v %q %q, want %q %v %q %q", c.list, c.text, value, ok, rule, suggestion, c.value, c.ok, c.rule, c.suggestion)
		}
	}
}

// Whatever a list gives is one of its values, and each value finds itself.
func TestValuesFindThemselves(t *testing.T) {
	for _, name := range lists {
		l := load(t, name)
		for _, v := range l.Values() {
			if got, ok, p := l.Find(v, nil); got != v || !ok || p != nil {
				t.Errorf("%s: %q finds %q, %v, %v", name, v, got, ok, p)
			}
			for _, spelt := range []string{strings.ToUpper(v), " " + v + ". ", strings.ReplaceAll(v, "-", " ")} {
				if got, ok, _ := l.Find(spelt, nil); got != v || !ok {
					t.Errorf("%s: %q finds %q, %v", name, spelt, got, ok)
				}
			}
		}
	}
}

func TestLoadRefuses(t *testing.T) {
	if _, err := Load("colour_of_hat"); err == nil {
		t.Error("a vocabulary that is not there was loaded")
	}
	if _, err := build("sex", []listRow{{Value: "male", Words: Words{"m"}}, {Value: "female", Words: Words{"M."}}}); err == nil ||
		!strings.Contains(err.Error(), "male and for female") {
		t.Errorf("a word for two values was taken: %v", err)
	}
	if _, err := build("sex", nil); err == nil {
		t.Error("an empty vocabulary was taken")
	}
}

// The values that Darwin Core fixes are the published ones.
func TestValuesAgainstStandard(t *testing.T) {
	for file, name := range map[string]string{"establishmentMeans": "establishment_means", "degreeOfEstablishment": "degree_of_establishment"} {
		rows := readCSV(t, need.Shared(t, "standards/vocabularies/"+file+".csv"))
		column := slices.Index(rows[0], "controlled_value_string")
		var want []string
		for _, row := range rows[1:] {
			if row[column] != "" {
				want = append(want, row[column])
			}
		}
		got := load(t, name).Values()
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v, the standard has %v", name, got, want)
		}
	}
	rows := readCSV(t, need.Shared(t, "standards/darwin-core/term_versions.csv"))
	examples := map[string]string{}
	term, example, status := slices.Index(rows[0], "term_localName"), slices.Index(rows[0], "examples"), slices.Index(rows[0], "status")
	for _, row := range rows[1:] {
		if row[status] == "recommended" && row[example] != "" {
			examples[row[term]] = row[example]
		}
	}
	for _, v := range load(t, "basis_of_record").Values() {
		if !strings.Contains(examples["basisOfRecord"], "`"+v+"`") {
			t.Errorf("basisOfRecord %s is not in the standard", v)
		}
	}
	for _, v := range load(t, "vitality").Values() {
		if !strings.Contains(examples["vitality"], "`"+v+"`") {
			t.Errorf("vitality %s is not in the standard", v)
		}
	}
}

func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func FuzzFind(f *testing.F) {
	for _, s := range []string{"M", "♂", "f?", "", "-", "mâle", "juv", "\xff", "male/female", "ß"} {
		f.Add(s)
	}
	sex := load(f, "sex")
	f.Fuzz(func(t *testing.T, text string) {
		value, ok, p := sex.Find(text, nil)
		if value != "" && !slices.Contains(sex.Values(), value) {
			t.Fatalf("%q gives %q, not a value", text, value)
		}
		if !ok && (p == nil || p.Level < record.Warning) {
			t.Fatalf("%q is unknown without a warning", text)
		}
		if again, ok2, _ := sex.Find(value, nil); again != value || !ok2 {
			t.Fatalf("%q gives %q, which gives %q", text, value, again)
		}
		if Fold(Fold(text)) != Fold(text) {
			t.Fatalf("folding %q twice changes it", text)
		}
	})
}
