package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// demoOutput is the demo, run with a data package.
func demoOutput(t *testing.T) string {
	t.Helper()
	out := t.TempDir()
	if code, _, stderr := called("run", filepath.Join(need.Root(t), "testdata", "demo"), "--out", out, "--package"); code != exitClean {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	return out
}

func TestRunWithPackageSaysSo(t *testing.T) {
	code, stdout, _ := called("run", filepath.Join(need.Root(t), "testdata", "demo"), "--out", t.TempDir(), "--package")
	if code != exitClean || !strings.Contains(stdout, "data package with 8 tables, ") {
		t.Errorf("exit code %d: %s", code, stdout)
	}
}

// Clean archives end with 0, faults with 1, archives that are refused unread
// with 3, calls that mean nothing with 2.
func TestProveExitCodes(t *testing.T) {
	out := demoOutput(t)
	broken := filepath.Join(need.Root(t), "testdata", "broken")
	for _, c := range []struct {
		args []string
		code int
		says []string
	}{
		{[]string{filepath.Join(out, "darwin-core")}, exitClean, []string{"core      http://rs.tdwg.org/dwc/terms/Occurrence, 240 rows", "0 errors, 0 warnings, 0 notes"}},
		{[]string{filepath.Join(out, "darwin-core.zip")}, exitClean, []string{"0 errors, 0 warnings, 0 notes"}},
		{[]string{filepath.Join(out, "data-package")}, exitClean, []string{"table     occurrence, 240 rows", "0 errors, 0 warnings, 0 notes"}},
		{[]string{filepath.Join(out, "darwin-core", "occurrence.csv")}, exitClean, []string{"0 errors"}},
		{[]string{filepath.Join(broken, "2.1.2-id-twice.zip")}, exitFindings, []string{"error", "section 2.1.2", "occurrence.csv, "}},
		{[]string{filepath.Join(broken, "2.1.2-id-twice.zip"), "--fail-on", "never"}, exitClean, []string{"error"}},
		{[]string{filepath.Join(broken, "2.4.1-term-deprecated.zip")}, exitClean, []string{"warning"}},
		{[]string{filepath.Join(broken, "2.4.1-term-deprecated.zip"), "--fail-on", "warning"}, exitFindings, []string{"warning"}},
		{[]string{filepath.Join(broken, "2.1.2-id-twice.zip"), "--format", "csv"}, exitFindings, []string{"level,rule,", "id-twice"}},
		{[]string{filepath.Join(broken, "2.1.2-id-twice.zip"), "--format", "json"}, exitFindings, []string{`"rule": "id-twice"`}},
		{[]string{filepath.Join(broken, "hostile-zip-bomb.zip")}, exitInput, []string{"hostile-zip-bomb.zip", "refused"}},
		{[]string{filepath.Join(broken, "hostile-zip-up.zip")}, exitInput, []string{"refused"}},
		{[]string{filepath.Join(broken, "..", "unusual", "location-web.zip")}, exitClean, []string{"note    meta.xml, row 20: the file is on another machine"}},
		{[]string{filepath.Join(broken, "none.zip")}, exitInput, []string{"none.zip"}},
		{[]string{}, exitCall, []string{"takes one path"}},
		{[]string{out, "--format", "xml"}, exitCall, []string{"allowed: text, csv, json"}},
		{[]string{out, "--fail-on", "often"}, exitCall, []string{"allowed: error, warning, note, never"}},
		{[]string{out, "--only", "VALIDATION_NOSUCH"}, exitCall, []string{"VALIDATION_NOSUCH"}},
		{[]string{out, "--taxa", filepath.Join(out, "none.csv")}, exitInput, []string{"none.csv"}},
		{[]string{out, "--today", "tomorrow"}, exitCall, []string{"tomorrow", "2026-11-25"}},
		{[]string{out, "--responses", filepath.Join(out, "darwin-core", "r.csv")}, exitCall, []string{"inside it"}},
		{[]string{filepath.Join(out, "darwin-core.zip"), "--responses", filepath.Join(out, "none", "r.csv")}, exitOutput, []string{"cannot write"}},
	} {
		code, stdout, stderr := called(append([]string{"prove"}, c.args...)...)
		if code != c.code {
			t.Errorf("%v: exit code %d, want %d; %s", c.args, code, c.code, stderr)
		}
		for _, s := range c.says {
			if !strings.Contains(stdout+stderr, s) {
				t.Errorf("%v: does not say %q: %s%s", c.args, s, stdout, stderr)
			}
		}
	}
}

// responses reads a file of answers, by record and label.
func responses(t *testing.T, path string) map[[2]string][]string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(lines[0], ","); got != "record,id,label,GUID,status,result,comment,arguments" {
		t.Errorf("headings %s", got)
	}
	out := map[[2]string][]string{}
	for _, l := range lines[1:] {
		out[[2]string{l[0], l[2]}] = l
	}
	return out
}

// Headings may be bare terms or carry a prefix; other columns are a warning,
// and the answers come all the same.
func TestProveTextFile(t *testing.T) {
	dir := t.TempDir()
	path, answers := filepath.Join(dir, "rows.csv"), filepath.Join(dir, "answers.csv")
	text := "dwc:occurrenceID,eventDate,dcterms:license,dc:type,dwc:day,month,http://rs.tdwg.org/dwc/terms/sex,My column,bdqval:earliestValidDate\n" +
		"a,2021-06-12,https://creativecommons.org/licenses/by/4.0/,Event,31,6,female,x,\n" +
		"b,1899-06-12,GPL,,30,6,female,y,1850-01-01\n"
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := called("prove", path, "--responses", answers, "--today", "2026-11-25", "--fail-on", "never",
		"--only", "VALIDATION_DAY_INRANGE,validation_license_standard,VALIDATION_DCTYPE_STANDARD,VALIDATION_EVENTDATE_INRANGE")
	if code != exitClean {
		t.Fatalf("exit code %d: %s%s", code, stdout, stderr)
	}
	if !strings.Contains(stdout, `warning rows.csv, H1: "My column" is not the name of a term`) || strings.Contains(stdout, "bdqval") {
		t.Errorf("columns that are no terms: %s", stdout)
	}
	got := responses(t, answers)
	for at, want := range map[[2]string][2]string{
		{"1", "VALIDATION_DAY_INRANGE"}:       {"a", "NOT_COMPLIANT"},
		{"2", "VALIDATION_DAY_INRANGE"}:       {"b", "COMPLIANT"},
		{"1", "VALIDATION_LICENSE_STANDARD"}:  {"a", "COMPLIANT"},
		{"2", "VALIDATION_LICENSE_STANDARD"}:  {"b", "NOT_COMPLIANT"},
		{"1", "VALIDATION_DCTYPE_STANDARD"}:   {"a", "COMPLIANT"},
		{"1", "VALIDATION_EVENTDATE_INRANGE"}: {"a", "COMPLIANT"},
		{"2", "VALIDATION_EVENTDATE_INRANGE"}: {"b", "COMPLIANT"}, // its own earliest date
	} {
		l := got[at]
		if len(l) == 0 || l[1] != want[0] || l[5] != want[1] || l[4] != "RUN_HAS_RESULT" || l[3] == "" || l[6] == "" {
			t.Errorf("%v: %q, want %v", at, l, want)
		}
	}
}

// The answers to the published validation data, asked for through the program,
// are those that were published, but for the exceptions that are listed.
func TestProveAnswersAsPublished(t *testing.T) {
	data := need.Shared(t, "standards/bdq/test_validation_data.csv")
	answers := filepath.Join(t.TempDir(), "answers.csv")
	lists := filepath.Join(need.Root(t), "pipeline", "prove", "quality", "testdata", "supplied") + string(filepath.Separator)
	code, _, stderr := called("prove", data, "--responses", answers, "--today", "2026-07-29", "--fail-on", "never",
		"--taxa", lists+"taxa.csv", "--taxa", "marinespecies.org="+lists+"marinespecies.org.csv", "--taxa", "irmng.org="+lists+"irmng.org.csv",
		"--taxa", "https://api.biodiversity.org.au/name/check?dataset=APNI="+lists+"apni.csv",
		"--marine", lists+"marine.csv", "--divisions", lists+"divisions.geojson", "--centroids", lists+"centroids.tsv")
	if code != exitClean {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	got := responses(t, answers)
	labels := map[string]string{} // by GUID
	for _, l := range got {
		labels[l[3]] = l[2]
	}
	excepted := map[string]bool{}
	for _, e := range namedRows(t, filepath.Join(need.Root(t), "pipeline", "prove", "quality", "testdata", "exceptions.csv")) {
		excepted[e["dataID"]] = true
	}
	asked, agree := map[string]int{}, 0
	for i, row := range namedRows(t, data) {
		label, ok := labels[row["GUID"]]
		if !ok || excepted[row["dataID"]] {
			continue
		}
		asked[label]++
		l := got[[2]string{strconv.Itoa(i + 1), label}]
		if len(l) == 0 || l[3] != row["GUID"] || l[4] != row["Response.status"] || !sameAnswer(l[5], row["Response.result"]) {
			t.Errorf("row %s, %s: %q, published %s %s", row["dataID"], label, l, row["Response.status"], row["Response.result"])
			continue
		}
		agree++
	}
	if agree != 679 || len(asked) != 105 {
		t.Errorf("%d rows of %d tests agree, want 679 of 105", agree, len(asked))
	}
	// --only gives the same lines and no others
	some := slices.Sorted(maps.Keys(asked))[10:14]
	few := filepath.Join(t.TempDir(), "few.csv")
	if code, _, stderr := called("prove", data, "--responses", few, "--today", "2026-07-29", "--fail-on", "never", "--only", strings.Join(some, ",")); code != exitClean {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	only := responses(t, few)
	if n := len(namedRows(t, data)) * len(some); len(only) != n {
		t.Errorf("%d answers, want %d", len(only), n)
	}
	for at, l := range only {
		if !slices.Equal(l, got[at]) {
			t.Errorf("%v: %q alone, %q among all", at, l, got[at])
		}
	}
}

// sameAnswer compares results as text, and those of amendments as objects.
func sameAnswer(got, want string) bool {
	var a, b map[string]string
	if json.Unmarshal([]byte(got), &a) == nil && json.Unmarshal([]byte(want), &b) == nil {
		return maps.Equal(a, b)
	}
	return got == want
}

// namedRows reads a CSV by its headings; lines that begin with # are left out.
func namedRows(t *testing.T, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, h := range lines[0] {
			row[h] = l[i]
		}
		out = append(out, row)
	}
	return out
}

// The same captures get the same answers from the archive and from the data
// package, and the sums say so too.
func TestProveAnswersAnyContainer(t *testing.T) {
	out, dir := demoOutput(t), t.TempDir()
	texts := map[string][2]string{}
	for _, container := range []string{"darwin-core.zip", "data-package"} {
		answers, sums := filepath.Join(dir, container+".csv"), filepath.Join(dir, container+".sums.csv")
		code, stdout, stderr := called("prove", filepath.Join(out, container), "--responses", answers, "--measures", sums, "--today", "2026-11-25",
			"--taxa", filepath.Join(need.Root(t), "testdata", "demo", "checklist.csv"))
		if code != exitClean {
			t.Fatalf("exit code %d: %s%s", code, stdout, stderr)
		}
		a, errA := os.ReadFile(answers)
		b, errB := os.ReadFile(sums)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		texts[container] = [2]string{string(a), string(b)}
	}
	if texts["darwin-core.zip"] != texts["data-package"] {
		t.Error("the answers differ between archive and data package")
	}
	if got := texts["data-package"]; strings.Count(got[0], "\n") != 240*110+1 || strings.Count(got[1], "\n") != 144+1 || !strings.Contains(got[0], "checklist.csv") {
		t.Errorf("%d answers, %d sums", strings.Count(got[0], "\n")-1, strings.Count(got[1], "\n")-1)
	}
}

// Failed validations are findings at the cell that holds the value.
func TestProveQuality(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rows.csv")
	text := "occurrenceID,eventDate,sex\na,1066-06-12,female\nb,2021-06-12,fem\nc,2021-06-12,fem\n"
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := called("prove", path, "--quality", "--only", "VALIDATION_EVENTDATE_INRANGE,VALIDATION_SEX_STANDARD,VALIDATION_LICENSE_NOTEMPTY",
		"--today", "2026-11-25", "--fail-on", "warning")
	if code != exitFindings {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	for _, want := range []string{"warning rows.csv, B2: eventDate begins before", "warning rows.csv, C3: ", "2 cells in all", "[VALIDATION_SEX_STANDARD]", "note    rows.csv, row 2: license is empty; 3 cells"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("no %q in %s", want, stdout)
		}
	}
}
