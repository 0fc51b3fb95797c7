package place

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"spadefoot/schemas"
)

var ruleInCode = regexp.MustCompile(`"((?:coordinates|datum|position|site|elevation|depth)-[a-z-]+)"`)
var ruleByKind = regexp.MustCompile(`h\.name\+"(-[a-z-]+)"`)

// Every rule of the code is in schemas/rules/place.csv, and the other way
// round.
func TestRulesAreListed(t *testing.T) {
	rows, err := schemas.Table[schemas.Rule]("rules/place.csv")
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for _, r := range rows {
		listed[r.Code] = false
		if r.Stage != "place" || r.Summary == "" || len(r.Summary) >= 80 || r.Help == "" {
			t.Errorf("row %+v", r)
		}
	}
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var codes []string
		for _, m := range ruleInCode.FindAllStringSubmatch(string(b), -1) {
			codes = append(codes, m[1])
		}
		for _, m := range ruleByKind.FindAllStringSubmatch(string(b), -1) {
			codes = append(codes, "elevation"+m[1], "depth"+m[1])
		}
		for _, code := range codes {
			if _, ok := listed[code]; !ok {
				t.Errorf("%s: rule %s is not in place.csv", name, code)
			}
			listed[code] = true
		}
	}
	for code, used := range listed {
		if !used {
			t.Errorf("rule %s of place.csv is never raised", code)
		}
	}
}
