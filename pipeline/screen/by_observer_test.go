package screen

import (
	"math"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// An observer who reads a length larger than the others is known to, and the readings
// are no slips: nothing is doubted in them that would not be in anybody's.
func TestBiasOfAnObserverIsNoSlip(t *testing.T) {
	const by = 1.06
	biased := func(seed uint64) []*record.Capture {
		all := simulate(600, seed)
		for _, c := range all {
			if c.Get("recordedBy") == "B. Rook" {
				scaleAll([]*record.Capture{c}, "tibiaLength", 1/by, 1)
			}
		}
		return all
	}
	alarms := func(all []*record.Capture) (n int) {
		for _, f := range Screen(all, nil, Defaults()) {
			if f.Level >= record.Warning && f.Field == "tibiaLength" {
				n++
			}
		}
		return n
	}
	for seed := range uint64(3) {
		all := biased(90 + seed)
		errors := Summarise(all, Defaults()).fit().errors["tibiaLength"]
		own, other := errors.of[hash("B. Rook")], errors.of[hash("A. Quill")]
		if d := own.bias - other.bias; math.Abs(d-math.Log(by)) > 0.03 || own.correction() == 0 || own.open <= 0 || own.open > 0.01 {
			t.Errorf("a bias of %.3f seems to be %.3f ± %.3f", math.Log(by), d, own.open)
		}
		if n := alarms(all); n > alarms(simulate(600, 90+seed)) {
			t.Errorf("%d alarms", n)
		}
	}
}

// An animal whose sex was not told is of one of the sexes: the males among them, which
// are smaller and have larger ear drums, are no strangers, and their slips are found.
func TestBlankSexIsEitherSex(t *testing.T) {
	kinds := []kindOfFrog{{"Lithobates clamitans", 1, 78, 0.85, 48, 0.5, 1.45}}
	blank := func(seed uint64) (all, unsexed []*record.Capture) {
		all = simulateKinds(400, seed, kinds)
		for i, c := range all {
			if i%3 == 0 && c.Get("sex") != "" {
				at := slices.IndexFunc(c.Values, func(v record.Value) bool { return v.Term == "sex" })
				c.Values[at].Text, c.Values[at].Verbatim = "", ""
				unsexed = append(unsexed, c)
			}
		}
		return all, unsexed
	}
	found, planted, false := 0, 0, 0
	for seed := range uint64(4) {
		all, _ := blank(70 + seed)
		for _, f := range Screen(all, nil, Defaults()) {
			if f.Level >= record.Warning {
				false++
			}
		}
		all, unsexed := blank(70 + seed)
		for i, c := range unsexed {
			if i%10 == 0 && c.Reading("tympanumDiameter") != nil {
				scaleAll([]*record.Capture{c}, "tympanumDiameter", 10, 2)
				planted++
			}
		}
		for _, f := range Screen(all, nil, Defaults()) {
			if f.Field == "tympanumDiameter" && f.Level >= record.Warning {
				found++
			}
		}
	}
	if false > 2 || planted < 30 || found < planted {
		t.Errorf("%d false alarms on 1,600 clean captures; %d of %d slips found", false, found, planted)
	}
}
