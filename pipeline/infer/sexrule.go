package infer

import (
	"slices"
	"strings"

	"spadefoot/mappings"
	"spadefoot/schemas"
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

// Rules returns the rules that Spadefoot brings.
func Rules() []SexRule { return schemas.Must(mappings.Table[SexRule]("dimorphism.csv")) }

// sexRule is a rule with the wordings of its sign cut into words.
type sexRule struct {
	*SexRule
	wordings [][]string
	where    []string // terms; all notes where there are none
}

func prepared(rules []SexRule) []sexRule {
	out := make([]sexRule, len(rules))
	for i := range rules {
		out[i].SexRule = &rules[i]
		if rules[i].Sign != "" {
			out[i].wordings = wordingsOf(rules[i].Sign)
		}
		if rules[i].Where != "" {
			out[i].where = strings.Split(rules[i].Where, "|")
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
