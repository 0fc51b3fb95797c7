package infer

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

func readTable(t *testing.T, path string) []map[string]string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for j, h := range all[0] {
			row[h] = line[j]
		}
		rows = append(rows, row)
	}
	return rows
}

// capture makes a capture with an address, terms and readings.
func capture(n int, terms map[string]string, readings ...record.Reading) *record.Capture {
	c := &record.Capture{ID: fmt.Sprintf("urn:uuid:%08d", n), Key: strconv.Itoa(n), File: "made.csv", Row: n + 1}
	for _, term := range []string{"scientificName", "sex", "lifeStage", "order", "identificationVerificationStatus",
		"identificationQualifier", "reproductiveCondition", "occurrenceRemarks", "vitality"} {
		if terms[term] != "" {
			c.Set(record.Value{Field: record.Of(term), Text: terms[term], Verbatim: terms[term]})
		}
	}
	c.Readings = readings
	return c
}

// reading makes a reading from text in mm, or in g for bodyMass.
func reading(name, text string) record.Reading {
	v, err := strconv.ParseFloat(text, 64)
	r := record.Reading{Series: &record.Series{Measurement: name, Unit: "mm", Replicate: 1}, Number: v, Text: text, Verbatim: text}
	if err != nil {
		r.State = record.Missing
	}
	if name == "bodyMass" {
		r.Vary(func(s *record.Series) { s.Unit = "g" })
	}
	if _, after, ok := strings.Cut(text, "."); ok {
		r.Decimals = len(after)
	}
	return r
}

func crabCaptures(t *testing.T, label func(row map[string]string) string) []*record.Capture {
	t.Helper()
	names := map[string]string{"FL": "frontalLobe", "RW": "rearWidth", "CL": "carapaceLength", "CW": "carapaceWidth", "BD": "bodyDepth"}
	var out []*record.Capture
	for i, row := range readTable(t, filepath.Join(need.Root(t), "testdata", "reference", "infer_crabs.csv")) {
		c := capture(i, map[string]string{"scientificName": label(row)})
		for _, k := range []string{"FL", "RW", "CL", "CW", "BD"} {
			c.Readings = append(c.Readings, reading(names[k], row[k]))
		}
		out = append(out, c)
	}
	return out
}

// swap returns a twentieth of the captures the name of another, by a fixed seed,
// and tells which.
func swap(cs []*record.Capture, seed uint64, other func(i int) int) map[string]bool {
	names := make([]string, len(cs))
	for i := range cs {
		names[i] = cs[i].Get("scientificName")
	}
	swapped := map[string]bool{}
	for _, i := range rand.New(rand.NewPCG(seed, 1)).Perm(len(cs))[:len(cs)/20] {
		cs[i].Set(record.Value{Field: record.Of("scientificName"), Text: names[other(i)], Verbatim: names[other(i)]})
		swapped[cs[i].Key] = true
	}
	return swapped
}

// Two forms of crab with 5 % of the names swapped: the swapped ones are found.
// The file has 50 blue males, 50 blue females, 50 orange males and 50 orange
// females in this order. The last run takes form and sex together for the
// name; small crabs of the two sexes are alike, so that fewer can be found.
func TestSwappedCrabsAreFound(t *testing.T) {
	forms := map[string]string{"B": "Leptograpsus azureus", "O": "Leptograpsus aurantius"}
	for _, run := range []struct {
		name              string
		label             func(map[string]string) string
		other             func(int) int
		quadratic         bool
		recall, precision float64
	}{
		{"two forms", func(r map[string]string) string { return forms[r["form"]] },
			func(i int) int { return (i + 100) % 200 }, false, .97, .99},
		{"two forms, quadratic", func(r map[string]string) string { return forms[r["form"]] },
			func(i int) int { return (i + 100) % 200 }, true, .97, .99},
		{"two forms by two sexes", func(r map[string]string) string { return forms[r["form"]] + strings.ToLower(r["sex"]) },
			func(i int) int { return (i + 50) % 200 }, false, .75, .95},
	} {
		var right, found, planted int
		for seed := range uint64(10) {
			cs := crabCaptures(t, run.label)
			swapped := swap(cs, seed, run.other)
			planted += len(swapped)
			s := Defaults()
			s.TrustRecorded, s.SpeciesQuadratic = true, run.quadratic
			for _, f := range Infer(cs, nil, Inputs{}, s).Findings {
				if f.Rule == "looks-like-other" {
					found++
					if swapped[f.Capture] {
						right++
					}
				}
			}
		}
		recall, precision := float64(right)/float64(planted), float64(right)/math.Max(1, float64(found))
		t.Logf("crabs, %s: %d planted in 10 runs, recall %.3f, precision %.3f", run.name, planted, recall, precision)
		if recall < run.recall || precision < run.precision {
			t.Errorf("want recall %.2f and precision %.2f", run.recall, run.precision)
		}
	}
}

func penguinCaptures(t *testing.T) (captures []*record.Capture, molecular map[string]string) {
	t.Helper()
	molecular = map[string]string{}
	headings := map[string]string{"culmenLength": "Culmen Length (mm)", "culmenDepth": "Culmen Depth (mm)",
		"flipperLength": "Flipper Length (mm)", "bodyMass": "Body Mass (g)"}
	for i, row := range readTable(t, need.Shared(t, "opendata/penguins_raw.csv")) {
		_, name, _ := strings.Cut(row["Species"], "(")
		c := capture(i, map[string]string{"scientificName": strings.TrimSuffix(name, ")"), "lifeStage": "adult"})
		for _, m := range []string{"culmenLength", "culmenDepth", "flipperLength", "bodyMass"} {
			c.Readings = append(c.Readings, reading(m, row[headings[m]]))
		}
		if row["Sex"] != "NA" {
			molecular[c.ID] = strings.ToLower(row["Sex"])
		}
		captures = append(captures, c)
	}
	return captures, molecular
}

// Three species of penguin from four measurements, each bird left out in turn.
func TestPenguinSpeciesLeftOut(t *testing.T) {
	cs, _ := penguinCaptures(t)
	s := Defaults()
	s.TrustRecorded = true
	r := Infer(cs, nil, Inputs{}, s)
	if len(r.Models) != 1 || r.Models[0].Missing != "" {
		t.Fatalf("models: %+v", r.Models)
	}
	m := r.Models[0]
	t.Logf("penguins: %d of %d placed, left-out error %.4f, confusion %v of %v, set aside %d", len(r.Placements), len(cs), m.Error, m.Confusion, m.Taxa, len(m.SetAside))
	total := 0
	for _, row := range m.Confusion {
		for _, n := range row {
			total += n
		}
	}
	if total != 342 {
		t.Errorf("the confusion table counts %d birds", total)
	}
	if len(r.Placements) != 342 || m.Error > .02 {
		t.Errorf("%d placed, error %.4f", len(r.Placements), m.Error)
	}
	found := map[string]int{}
	for _, f := range r.Findings {
		found[f.Rule]++
	}
	if found["looks-like-other"] > 4 || found["looks-like-none"] > 2 {
		t.Errorf("false alarms among verified birds: %v", found)
	}
}

// Sex of penguins by body mass, with the thresholds half a band away from the
// middle of the two means, against the sex from DNA.
func TestPenguinSexFromSize(t *testing.T) {
	cs, molecular := penguinCaptures(t)
	var rules []SexRule
	for _, species := range []string{"Pygoscelis adeliae", "Pygoscelis papua", "Pygoscelis antarctica"} {
		sum, n := map[string]float64{}, map[string]float64{}
		for _, c := range cs {
			if m := c.Reading("bodyMass"); c.Get("scientificName") == species && m != nil {
				sum[molecular[c.ID]] += m.Number
				n[molecular[c.ID]]++
			}
		}
		middle := (sum["male"]/n["male"] + sum["female"]/n["female"]) / 2
		rules = append(rules, SexRule{Taxon: species, Character: "body mass", Numerator: "bodyMass", Direction: MaleLarger,
			MaleThreshold: middle * 1.01, FemaleThreshold: middle * .99, Source: "this sample"})
	}
	var right, wrong, undetermined int
	for _, ind := range Infer(cs, nil, Inputs{Rules: rules}, Defaults()).Indications {
		switch truth := molecular[ind.Capture]; {
		case truth != "male" && truth != "female":
		case ind.Sex == Undetermined:
			undetermined++
		case ind.Sex == truth:
			right++
		default:
			wrong++
		}
	}
	agreed := float64(right) / float64(right+wrong)
	t.Logf("penguins, sex from mass: %d right, %d wrong, %d undetermined; %.3f of those indicated", right, wrong, undetermined, agreed)
	if right+wrong+undetermined != 333 || agreed < .9 || undetermined > 120 {
		t.Errorf("agreement %.3f, %d undetermined", agreed, undetermined)
	}
}
