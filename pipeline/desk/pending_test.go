package desk_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/desk"
	"spadefoot/pipeline/record/need"
)

// decision is a form that decides.
func decision(do string) url.Values {
	return url.Values{"secret": {secret}, "do": {do}, "text": {"61.9"}, "who": {"Ines Varga"}, "why": {"field book"}}
}

// A decision is answered before the survey was walked again: its doubt is gone at
// once, pages say that more may change, and in the end they show what a walk finds.
func TestADecisionIsAnsweredAtOnce(t *testing.T) {
	folder := season(t, 300, nil)
	d := patient(t, folder, time.Nanosecond)
	before := ready(t, d, "/doubts")
	first, _ := offering(t, d, `value="take"`)
	w := ask(d, request(http.MethodPost, "/doubts/"+first, decision("take"), nil))
	if w.Code != http.StatusSeeOther || len(given(t, folder)) != 1 {
		t.Fatalf("status %d, %d decisions\n%s", w.Code, len(given(t, folder)), excerpt(w.Body.String()))
	}
	list := ready(t, d, "/doubts")
	if was, now := errorsIn(t, before), errorsIn(t, list); now != was-1 {
		t.Errorf("%d errors after the decision, %d before", now, was)
	}
	if strings.Contains(list, `href="/doubts/`+first+`"`) || !strings.Contains(list, "1 decision so far") {
		t.Errorf("the list after the decision:\n%s", excerpt(list))
	}
	second, _ := offering(t, d, `value="take"`)
	ask(d, request(http.MethodPost, "/doubts/"+second, decision("take"), nil))
	after := doubtsOfACopy(t, folder)
	for until := time.Now().Add(time.Minute); strings.Contains(ready(t, d, "/doubts"), "being checked again"); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatal("the survey is never looked at again")
		}
	}
	told := func(body string) string {
		_, table, _ := strings.Cut(body, "<tbody>")
		table, _, _ = strings.Cut(table, "</table>")
		return table
	}
	if list := ready(t, d, "/doubts"); told(list) == "" || told(list) != told(after) {
		t.Errorf("in the end:\n%s\nwant:\n%s", excerpt(list), excerpt(after))
	}
	if w := ask(d, request(http.MethodPost, "/doubts/back", url.Values{"secret": {secret}}, nil)); w.Code != http.StatusSeeOther || len(given(t, folder)) != 1 {
		t.Errorf("not taken back: status %d, %d decisions", w.Code, len(given(t, folder)))
	}
}

// errorsIn is how many errors the list of doubts counts.
func errorsIn(t testing.TB, list string) int {
	t.Helper()
	m := regexp.MustCompile(`([0-9]+) errors?`).FindStringSubmatch(list)
	if m == nil {
		t.Fatalf("no count in\n%s", excerpt(list))
	}
	n, _ := strconv.Atoi(m[1])
	return n
}

// doubtsOfACopy is the list of doubts of a desk over a copy of the folder.
func doubtsOfACopy(t *testing.T, folder string) string {
	t.Helper()
	other := t.TempDir()
	if err := os.CopyFS(other, os.DirFS(folder)); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(other, desk.LockName)); err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	return page(t, open(t, other), "/doubts")
}

// Decisions that cannot stand together are taken back when a walk has found that
// out, and the next page says so.
func TestDecisionsThatCannotBeReadAreTakenBack(t *testing.T) {
	folder := season(t, 300, func(row int, cells []string) {
		if row == 20 {
			cells[4], cells[7] = "Z9", "wide" // no word for a sex, and no number
		}
	})
	d := patient(t, folder, time.Nanosecond)
	var ids []string
	for _, m := range doubtLink.FindAllStringSubmatch(ready(t, d, "/doubts"), -1) {
		if body := ready(t, d, "/doubts/"+m[1]); strings.Contains(body, "leave out season.csv, row 22") {
			ids = append(ids, m[1])
		}
	}
	if len(ids) < 2 {
		t.Fatalf("%d doubts offer to leave the row out", len(ids))
	}
	for _, id := range ids[:2] {
		ask(d, request(http.MethodPost, "/doubts/"+id, decision("drop:0"), nil))
	}
	for until := time.Now().Add(time.Minute); ; time.Sleep(10 * time.Millisecond) {
		if body := ask(d, request(http.MethodGet, "/questions", nil, nil)).Body.String(); strings.Contains(body, "so it was undone") {
			break
		}
		if time.Now().After(until) {
			t.Fatal("nothing is said")
		}
	}
	switch rs := given(t, folder); len(rs) {
	case 0:
		ready(t, d, "/doubts/"+ids[0])
	case 1: // the first was carried out before the second was handed in
		if _, err := pipeline.Check(t.Context(), folder, pipeline.Options{}); err != nil {
			t.Error(err)
		}
	default:
		t.Errorf("still decided: %+v", rs)
	}
}

// A sheet that is changed while somebody looks at a doubt is read again: what was
// decided on the old one is not written.
func TestADecisionOnAChangedSheetIsNotWritten(t *testing.T) {
	folder := season(t, 300, nil)
	d := open(t, folder)
	id, body := offering(t, d, `value="take"`)
	sheet, err := os.ReadFile(filepath.Join(folder, "season.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rewritten := func(change func(cells []string)) {
		lines := strings.Split(string(sheet), "\n")
		cells := strings.Split(lines[8], ",") // the row of the first slip
		change(cells)
		lines[8] = strings.Join(cells, ",")
		if err := os.WriteFile(filepath.Join(folder, "season.csv"), []byte(strings.Join(lines, "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	refused := func(what string, status int, says string) {
		t.Helper()
		form := decision("take")
		form.Set("mark", hidden(t, body, "mark"))
		w := ask(d, request(http.MethodPost, "/doubts/"+id, form, nil))
		if w.Code != status || !strings.Contains(w.Body.String(), says) {
			t.Errorf("%s: status %d, want %d\n%s", what, w.Code, status, excerpt(w.Body.String()))
		}
		if _, err := os.Stat(filepath.Join(folder, "remedies.csv")); !os.IsNotExist(err) {
			t.Errorf("%s: a decision was written", what)
		}
	}
	rewritten(func(cells []string) { cells[6], cells[7], cells[8] = "2.4", "1.6", "4.6" }) // now the others say something else
	refused("what would be done is not what was shown", http.StatusConflict, "and so has this doubt")
	rewritten(func(cells []string) { cells[0] = "S99999" })
	refused("another animal stands there", http.StatusNotFound, "no longer exists")
	rewritten(func(cells []string) { cells[5] = "47.0" })
	refused("the value was put right", http.StatusNotFound, "no longer exists")
}

// What is counted before a walk has seen a decision is mostly what the walk counts;
// the log says how often.
func TestWhatIsCountedEarly(t *testing.T) {
	long := os.Getenv("SPADEFOOT_LONG") != ""
	if !long {
		need.Fullest(t)
	}
	folders := map[string]string{"the demo": demo(t), "a season of 300": season(t, 300, nil)}
	if long {
		folders["a season of 20,000"] = season(t, 20_000, nil)
	}
	for what, folder := range folders {
		d := open(t, folder)
		made, sameCounts, sameCauses := 0, 0, 0
		for range 20 {
			list := page(t, d, "/doubts")
			_, list, _ = strings.Cut(list, "<tbody>")
			m := doubtLink.FindStringSubmatch(list)
			if m == nil {
				break
			}
			do := "confirm"
			if strings.Contains(page(t, d, "/doubts/"+m[1]), `value="take"`) {
				do = "take"
			}
			errors, warnings, causes, err := d.Foretold(t.Context(), m[1])
			if err != nil {
				t.Fatal(err)
			}
			if w := ask(d, request(http.MethodPost, "/doubts/"+m[1], decision(do), nil)); w.Code != http.StatusSeeOther {
				t.Fatalf("%s: status %d\n%s", what, w.Code, excerpt(w.Body.String()))
			}
			is, err := d.Survey(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			_, _, left, err := d.Foretold(t.Context(), "")
			if err != nil {
				t.Fatal(err)
			}
			made++
			if errors == is.Tally.Levels.Error && warnings == is.Tally.Levels.Warning {
				sameCounts++
			}
			slices.Sort(causes)
			slices.Sort(left)
			if slices.Equal(causes, left) {
				sameCauses++
			} else {
				t.Logf("%s: after %s counted %d and %d early, %d and %d in the end; %d causes early, %d in the end", what, do, errors, warnings, is.Tally.Levels.Error, is.Tally.Levels.Warning, len(causes), len(left))
			}
		}
		t.Logf("%s: of %d decisions %d were counted right at once, and left the causes that were foretold %d times", what, made, sameCounts, sameCauses)
		if made < 5 || 2*sameCounts < made {
			t.Errorf("%s: %d of %d decisions were counted right", what, sameCounts, made)
		}
	}
}
