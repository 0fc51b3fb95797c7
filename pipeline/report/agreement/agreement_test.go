package agreement

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
)

// hostile has what people and numbers may hold: markup in names, a model of
// size 0, one reading only, everything alike.
func hostile(t *testing.T) Report {
	t.Helper()
	r := rand.New(rand.NewPCG(3, 9))
	var cs []*record.Capture
	var known []observers.Known
	for i := range 6 {
		id := fmt.Sprintf("m%d", i)
		known = append(known, observers.Known{Individual: id, Measurement: "snoutVentLength", Unit: "mm"})
		for k, who := range []string{`<b onclick="x">Vale`, "=A. Osei", "S. Haddad"} {
			c := &record.Capture{File: "a.csv", Row: 3*i + k + 2}
			c.Set(record.Value{Field: record.Of("organismID"), Text: id})
			c.Set(record.Value{Field: record.Of("recordedBy"), Text: who})
			for n := range 2 {
				v := 0.0
				if k == 0 {
					v = r.NormFloat64()
				}
				c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", Replicate: n + 1}, Number: v})
				if i == 0 && n == 0 {
					c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: "eyeDiameter", Unit: "mm"}, Number: 5})
				}
			}
			cs = append(cs, c)
		}
	}
	g, err := observers.Begin(known, observers.Defaults())
	if err != nil {
		t.Fatal(err)
	}
	g.Add(cs)
	result := g.Result()
	return Report{Title: "A & B <i>", Dataset: "x", Version: "test", Captures: len(cs), Result: result,
		Settings: observers.Defaults(), Findings: result.Findings,
		Order: func(names []string) []string { slices.Sort(names); slices.Reverse(names); return names }}
}

func textBy(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestObserversJSONHasNoNaN(t *testing.T) {
	var doc struct {
		Observers []struct {
			Name         string
			Measurements []struct {
				Measurement string
				Agreement   *struct{ RelativeBias map[string]*float64 }
				Repeats     *struct{ RelativeTEM *float64 }
			}
		}
	}
	if err := json.Unmarshal([]byte(textBy(t, hostile(t).JSON)), &doc); err != nil {
		t.Fatal(err)
	}
	m := doc.Observers[1].Measurements
	if len(doc.Observers) != 3 || m[0].Measurement != "snoutVentLength" || m[0].Agreement.RelativeBias["value"] != nil {
		t.Errorf("a share of nothing is null, measurements stand in the order asked for: %+v", doc.Observers)
	}
	if m[1].Agreement != nil || m[1].Repeats != nil {
		t.Errorf("one reading gives nothing: %+v", m[1])
	}
}

func TestObserversCSV(t *testing.T) {
	o := hostile(t)
	for name, c := range map[string]struct {
		write func(io.Writer) error
		lines int
	}{"observers": {o.CSV, 7}, "agreement": {o.AgreementCSV, 3}} {
		rows, err := csv.NewReader(strings.NewReader(textBy(t, c.write))).ReadAll()
		if err != nil || len(rows) != c.lines {
			t.Fatalf("%s: %v, %d lines", name, err, len(rows))
		}
		seen := map[string]bool{}
		for j, h := range rows[0] {
			if seen[h] {
				t.Errorf("%s: two columns %s", name, h)
			}
			seen[h] = true
			for _, row := range rows[1:] {
				if strings.Contains(row[j], "NaN") || strings.Contains(row[j], "Inf") {
					t.Errorf("%s, %s: %q", name, h, row[j])
				}
			}
		}
	}
	if empty := textBy(t, Report{}.CSV); strings.Count(empty, "\n") != 1 {
		t.Errorf("without observers: %q", empty)
	}
}

func TestObserversPage(t *testing.T) {
	o := hostile(t)
	page := textBy(t, o.HTML)
	for _, bad := range []string{"<b onclick", "<script", "NaN", "http://www.w3.org/1999", "src=", "<i>", "%!"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	svg := strings.Count(page, "<svg ")
	if svg != 5 || strings.Count(page, "<title id=") != svg || strings.Count(page, "<desc id=") != svg {
		t.Errorf("%d pictures, %d titles, %d descriptions", svg, strings.Count(page, "<title id="), strings.Count(page, "<desc id="))
	}
	ids := map[string]bool{}
	for part := range strings.SplitSeq(page, ` id="`) {
		id, _, _ := strings.Cut(part, `"`)
		if ids[id] {
			t.Errorf("two elements have the id %s", id)
		}
		ids[id] = true
	}
	for _, ref := range strings.Split(page, `href="#`)[1:] {
		if id, _, _ := strings.Cut(ref, `"`); !ids[id] {
			t.Errorf("a link leads to %s, which is not there", id)
		}
	}
	for _, want := range []string{"What to practise next", "With models and with animals in the hand", "S. Haddad", "not enough readings"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if empty := textBy(t, Report{Title: "Nothing"}.HTML); !strings.Contains(empty, "There is nothing to compare") {
		t.Error("the page of nothing does not say so")
	}
}

func TestFiguresForPeople(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{fixed(-0.001, 2), "0.00"}, {fixed(-1.25, 1), "−1.2"}, {fixed(math.NaN(), 2), "none"}, {plusMinus(0.8, 2), "+0.80"},
		{plusMinus(0.001, 2), "0.00"}, {plusMinus(-0.8, 1), "−0.8"}, {share(0.9999), ">0.999"}, {share(1), "1.000"},
		{share(0.95), "0.950"}, {percent(0.95), "95 %"}, {between(1, 0.5, 1.5, 1, false), "1.0 (0.5 to 1.5)"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
