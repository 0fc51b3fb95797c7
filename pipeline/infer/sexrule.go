package infer

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"spadefoot/mappings"
)

// The directions of a rule.
const (
	MaleLarger    = "male-larger"
	FemaleLarger  = "female-larger"
	PresentMale   = "present-male"
	PresentFemale = "present-female"
)

// SexRule is one row of mappings/dimorphism.csv: how the sexes of a taxon are
// told apart by a measurement, a ratio of two, or a recorded sign.
type SexRule struct {
	Taxon           string  `csv:"taxon"`
	Also            string  `csv:"also"` // other names of it, or taxa within it, joined by |
	Character       string  `csv:"character"`
	Numerator       string  `csv:"numerator"`
	Denominator     string  `csv:"denominator"` // empty: the numerator alone
	Sign            string  `csv:"sign"`        // wordings, joined by |
	Where           string  `csv:"where"`       // terms the sign is looked for in; empty: all notes
	Direction       string  `csv:"direction"`
	SizeMeasurement string  `csv:"size_measurement"` // the rule holds from this size on
	SizeValue       float64 `csv:"size_value"`
	SizeUnit        string  `csv:"size_unit"`
	MaleThreshold   float64 `csv:"male_threshold"`
	FemaleThreshold float64 `csv:"female_threshold"`
	Source          string  `csv:"source"`
}

// Rules returns the rules that Spadefoot brings. It fails if one of them makes no
// sense.
func Rules() ([]SexRule, error) {
	rules, err := mappings.Table[SexRule]("dimorphism.csv")
	if err != nil {
		return nil, err
	}
	for i := range rules {
		if err := rules[i].Check(); err != nil {
			return nil, fmt.Errorf("dimorphism.csv, rule %d (%s): %w", i+1, rules[i].Taxon, err)
		}
	}
	return rules, nil
}

// Check says what is wrong with a rule, or nil.
func (r *SexRule) Check() error {
	if r.Taxon == "" || r.Character == "" || r.Source == "" {
		return errors.New("taxon, character and source must be given")
	}
	switch r.Direction {
	case PresentMale, PresentFemale:
		if r.Sign == "" || r.Numerator != "" {
			return fmt.Errorf("%s belongs to a sign, not to a measurement", r.Direction)
		}
		return nil
	case MaleLarger, FemaleLarger:
	default:
		return fmt.Errorf("direction %q: want %s, %s, %s or %s", r.Direction, MaleLarger, FemaleLarger, PresentMale, PresentFemale)
	}
	if r.Numerator == "" || r.Sign != "" {
		return fmt.Errorf("%s belongs to a measurement, not to a sign", r.Direction)
	}
	if !(r.MaleThreshold > 0) || !(r.FemaleThreshold > 0) {
		return errors.New("male and female threshold must be above 0")
	}
	upper, lower := r.MaleThreshold, r.FemaleThreshold
	if r.Direction == FemaleLarger {
		upper, lower = lower, upper
	}
	if upper < lower {
		return fmt.Errorf("thresholds overlap: male %v, female %v", r.MaleThreshold, r.FemaleThreshold)
	}
	if r.SizeMeasurement != "" && !(r.SizeValue > 0 && r.SizeUnit != "") {
		return errors.New("a size needs a value above 0 and a unit")
	}
	return nil
}

// sexRule is a rule with the wordings of its sign cut into words.
type sexRule struct {
	*SexRule
	wordings [][]string
}

func prepared(rules []SexRule) []sexRule {
	out := make([]sexRule, len(rules))
	for i := range rules {
		out[i].SexRule = &rules[i]
		if rules[i].Sign != "" {
			out[i].wordings = wordingsOf(rules[i].Sign)
		}
	}
	return out
}

// rulesFor returns the rules of the taxa, lowest first. Where rules on one
// character stand for several of them, those of the lowest count.
func rulesFor(taxa []string, rules []sexRule) []*sexRule {
	rank := map[string]int{}
	best := func(r *sexRule) int {
		at := slices.Index(taxa, r.Taxon)
		for also := range strings.SplitSeq(r.Also, "|") {
			if i := slices.Index(taxa, also); i >= 0 && (at < 0 || i < at) {
				at = i
			}
		}
		return at
	}
	for i := range rules {
		at := best(&rules[i])
		if old, ok := rank[rules[i].Character]; at >= 0 && (!ok || at < old) {
			rank[rules[i].Character] = at
		}
	}
	var out []*sexRule
	for i := range rules {
		if at := best(&rules[i]); at >= 0 && at == rank[rules[i].Character] {
			out = append(out, &rules[i])
		}
	}
	return out
}
