package infer

import (
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// mixedSurvey are captures with what makes a difference to this stage: slips,
// doubts, names and sexes that don't fit, two sheets, and a few that are flagged.
func mixedSurvey() (captures []*record.Capture, flagged func(*record.Capture) bool, in Inputs, s Settings) {
	cs := frogs(21, 60, kinds...)
	r := rand.New(rand.NewPCG(21, 1))
	for i, c := range cs {
		c.ID = fmt.Sprintf("%08x-0000-5000-8000-%012x", r.Uint32(), i)
		if i%7 == 0 {
			c.File = "autumn.csv"
		}
		if i%3 > 0 {
			c.Set(record.Value{Field: record.Of("identificationVerificationStatus"), Text: "verified"})
		}
		switch i % 17 {
		case 1, 9, 11, 14:
			c.Set(record.Value{Field: record.Of("sex"), Text: ""})
		case 2:
			c.Set(record.Value{Field: record.Of("sex"), Text: opposite(c.Get("sex"))})
		case 3:
			rename(c, kinds[i%3].name)
		case 4:
			scale(c, "tibiaLength", 1.8)
		case 5:
			c.Set(record.Value{Field: record.Of("reproductiveCondition"), Text: "gravid"})
		case 6:
			c.Readings = slices.Delete(c.Readings, 1, 3)
		case 7:
			c.Readings[0].State = record.Doubtful
		case 8:
			c.Extras = append(c.Extras, record.Extra{Heading: "Nuptial pads", Text: "y", From: record.Address{File: c.File, Row: c.Row, Column: 30}})
		}
	}
	s = Defaults()
	s.FillSex, s.ConditionLeast, s.NoneLevel = true, 8, 0.5
	return cs, func(c *record.Capture) bool { return strings.HasSuffix(c.Key, "9") }, Inputs{Rules: Rules()}, s
}

// walked is what a survey comes to.
type walked struct {
	Findings []record.Finding
	Fills    map[string]record.Value
	Readings map[string][]record.Reading
}

// walk takes a survey through the passes in parts of a size.
func walk(x *Inference, cs []*record.Capture, size int, flagged func(*record.Capture) bool) walked {
	out := walked{Fills: map[string]record.Value{}, Readings: map[string][]record.Reading{}}
	for part := range slices.Chunk(cs, size) {
		looked := x.Add(part, func(i int) bool { return flagged(part[i]) })
		out.Findings = append(out.Findings, looked.Findings...)
		for i, v := range looked.Fills {
			out.Fills[part[i].ID] = v
		}
	}
	if x.Learn() {
		for part := range slices.Chunk(cs, size) {
			out.Findings = append(out.Findings, x.Judge(part)...)
		}
	}
	out.Findings = append(out.Findings, x.Settle()...)
	for n, c := range cs {
		if rs := x.Readings(n, c); rs != nil {
			out.Readings[c.ID] = rs
		}
	}
	record.SortFindings(out.Findings)
	return out
}

// A survey in parts is judged as the survey in one part, whatever the cut.
func TestPartsDoNotMatter(t *testing.T) {
	cs, flagged, in, s := mixedSurvey()
	byID := map[string]bool{}
	for _, c := range cs {
		byID[c.ID] = flagged(c)
	}
	whole := Infer(cs, byID, in, s)
	want := walked{Findings: whole.Findings, Fills: map[string]record.Value{}, Readings: map[string][]record.Reading{}}
	for _, ind := range whole.Indications {
		if ind.Fill != nil {
			want.Fills[ind.Capture] = *ind.Fill
		}
	}
	for _, d := range whole.Derived {
		want.Readings[d.Capture] = append(want.Readings[d.Capture], d.Reading)
	}
	found := byRule(want.Findings)
	for _, rule := range []string{"sex-filled", "sex-disagrees", "sex-signs-conflict", "looks-like-other", "looks-like-none", "condition-declined"} {
		if len(found[rule]) == 0 {
			t.Errorf("the survey shows no %s", rule)
		}
	}
	if len(want.Readings) < 80 || len(want.Fills) < 2 {
		t.Errorf("the survey has %d indices and %d fills", len(want.Readings), len(want.Fills))
	}
	for _, size := range []int{1, 7, 64, len(cs)} {
		if diff := cmp.Diff(want, walk(New(in, s), cs, size, flagged)); diff != "" {
			t.Errorf("parts of %d: %s", size, diff)
		}
	}
}

// No pass keeps a capture: what becomes of it afterwards changes nothing.
func TestPartsAreNotKept(t *testing.T) {
	cs, flagged, in, s := mixedSurvey()
	want := walk(New(in, s), cs, len(cs), flagged)
	x := New(in, s)
	for i := range cs {
		again := clone(cs[i])
		x.Add([]*record.Capture{again}, func(int) bool { return flagged(again) })
		spoil(again)
	}
	var got []record.Finding
	if x.Learn() {
		for i := range cs {
			again := clone(cs[i])
			got = append(got, x.Judge([]*record.Capture{again})...)
			spoil(again)
		}
	}
	got = append(got, x.Settle()...)
	record.SortFindings(got)
	var later []record.Finding
	for _, f := range want.Findings {
		if !strings.HasPrefix(f.Rule, "sex-") {
			later = append(later, f)
		}
	}
	if diff := cmp.Diff(later, got); diff != "" {
		t.Error(diff)
	}
	for n, c := range cs {
		if diff := cmp.Diff(want.Readings[c.ID], x.Readings(n, c)); diff != "" {
			t.Fatal(diff)
		}
	}
}

func clone(c *record.Capture) *record.Capture {
	out := *c
	out.Values, out.Readings = slices.Clone(c.Values), slices.Clone(c.Readings)
	return &out
}

// spoil makes a capture useless to whoever kept it.
func spoil(c *record.Capture) {
	clear(c.Values)
	clear(c.Readings)
	*c = record.Capture{}
}

// Of large groups as many are chosen as the bound says, the same ones in
// whatever order they come; the line says what it was fitted to.
func TestChoiceDoesNotDependOnOrder(t *testing.T) {
	cs, flagged, in, s := mixedSurvey()
	var methods string
	bounded := func(cs []*record.Capture, size int) walked {
		x := New(in, s)
		x.most = 12
		x.training.most = x.most
		defer func() { methods = x.Methods() }()
		return walk(x, cs, size, flagged)
	}
	want := bounded(cs, len(cs))
	lines := regexp.MustCompile(`n = (\d+)`).FindAllStringSubmatch(methods, -1)
	if len(lines) < 3 {
		t.Errorf("%d lines: %s", len(lines), methods)
	}
	for _, line := range lines { // of two or three groups of a species, 12 each
		if n, err := strconv.Atoi(line[1]); err != nil || n > 36 || n < 20 {
			t.Errorf("fitted to more, or to few: %s", line[0])
		}
	}
	for seed := range uint64(3) {
		shuffled := slices.Clone(cs)
		rand.New(rand.NewPCG(seed, 9)).Shuffle(len(cs), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		if diff := cmp.Diff(want, bounded(shuffled, 16)); diff != "" {
			t.Fatalf("order matters: %s", diff)
		}
	}
	if all := walk(New(in, s), cs, 16, flagged); cmp.Equal(all.Readings, want.Readings) {
		t.Error("the bound makes no difference")
	}
}

// Where fewer indices than captures are numbered in one byte, and more in four,
// each is found again.
func TestLedger(t *testing.T) {
	var l kept
	const n = 3 * pageSize
	for i := range n {
		l.add(doubt(i%int(doubts)), i/40-1)
	}
	l.setDoubt(5, speciesDoubt)
	for i := range n {
		d := doubt(i % int(doubts))
		if i == 5 {
			d = speciesDoubt
		}
		if l.doubt(i) != d || l.group(i) != i/40-1 {
			t.Fatalf("capture %d: doubt %d, group %d", i, l.doubt(i), l.group(i))
		}
	}
	if l.pages[0].narrow == nil || l.pages[2].wide == nil {
		t.Error("pages are not as wide as they need to be")
	}
}

// UUIDs are kept as numbers and are in the order of their texts; other IDs
// are among them.
func TestIdentity(t *testing.T) {
	ids := []string{"", "1", "00000000-0000-5000-8000-0000000000ff", "00000000-0000-5000-8000-000000000100",
		"urn:uuid:7", "9fe00000-0000-5000-8000-000000000000", "9fe00000-0000-5000-8000-00000000000G",
		"9fe00000-0000-5000-8000-000000000aaa", "9FE00000-0000-5000-8000-000000000aaa", "9fe000000000-5000-8000-000000000aaa00"}
	for _, a := range ids {
		if got := identityOf(a).String(); got != a {
			t.Errorf("%q comes back as %q", a, got)
		}
		for _, b := range ids {
			if got := identityOf(a).compare(identityOf(b)); got != strings.Compare(a, b) {
				t.Errorf("%q beside %q: %d", a, b, got)
			}
			if same := identityOf(a).hash() == identityOf(b).hash(); same != (a == b) {
				t.Errorf("%q and %q: same hash %v", a, b, same)
			}
		}
	}
}

// What is kept from pass to pass is a few bytes a capture once the choices are
// full.
func TestKeepsLittle(t *testing.T) {
	if os.Getenv("SPADEFOOT_LONG") != "1" {
		t.Skip("set SPADEFOOT_LONG=1")
	}
	base := verify(benchmarkSurvey())
	x := New(Inputs{Rules: Rules()}, Defaults())
	x.most, x.training.most = 500, 500
	heap := func() int {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return int(m.HeapAlloc)
	}
	const parts = 50
	var before int
	for p := range parts {
		if p == 10 {
			before = heap()
		}
		part := make([]*record.Capture, len(base))
		for i, c := range base {
			part[i] = clone(c)
			part[i].ID = fmt.Sprintf("%08x-0000-5000-8000-%012x", digest.Spread(uint64(p*len(base)+i))>>32, i)
		}
		x.Add(part, func(int) bool { return false })
	}
	kept := float64(heap()-before) / float64((parts-10)*len(base))
	t.Logf("%.2f bytes a capture", kept)
	if kept > 3 {
		t.Errorf("%.2f bytes are kept of a capture", kept)
	}
	runtime.KeepAlive(x)
	runtime.KeepAlive(base)
}
