package infer

import (
	"slices"

	"spadefoot/pipeline/lanes"
	"spadefoot/pipeline/record"
)

// Inputs are the facts that the stage goes by, beside the captures.
type Inputs struct {
	Rules     []SexRule  // usually those of Rules
	Specimens []Specimen // reference specimens, if the survey has a table of them
}

// Result is what the stage concludes. Everything is in the order of capture ID.
type Result struct {
	Findings    []record.Finding // in the order of the outputs
	Indications []Indication     // one a capture
	Models      []*Model         // one a life stage; those with Missing declined
	Placements  []Placement      // of captures with enough measurements
	Groups      []ConditionGroup
	Derived     []Derived
}

// Infer runs the whole stage. flagged holds the IDs of captures with findings
// from screening: nothing is learnt from them and they get no condition index.
// The captures are not changed; the caller adds Derived readings and Fill
// values.
func Infer(captures []*record.Capture, flagged map[string]bool, in Inputs, s Settings) Result {
	var r Result
	captures = inOrder(captures)
	sexes := make([]string, len(captures))
	doubts := make([]string, len(captures)) // why a capture gets no index
	for i, said := range sexesOf(captures, in.Rules, s) {
		c, ind, findings := captures[i], said.indication, said.findings
		r.Indications = append(r.Indications, ind)
		r.Findings = append(r.Findings, findings...)
		sexes[i] = ind.Recorded
		if ind.Fill != nil {
			sexes[i] = ind.Sex
		}
		if flagged[c.ID] {
			doubts[i] = "flagged by screening"
		} else if slices.ContainsFunc(findings, func(f record.Finding) bool { return f.Level > record.Note }) {
			doubts[i] = "the sex is in doubt"
		}
	}
	doubtful := species(captures, flagged, in, s, &r)
	var summary ConditionSummary
	for i, c := range captures {
		if doubts[i] == "" && doubtful[c] {
			doubts[i] = "the species is in doubt"
		}
		summary.Add(c, sexes[i], doubts[i], s)
	}
	r.Groups = summary.Groups(s)
	for i := range r.Groups {
		derived, findings := r.Groups[i].Condition()
		r.Derived = append(r.Derived, derived...)
		r.Findings = append(r.Findings, findings...)
	}
	record.SortFindings(r.Findings)
	return r
}

// sexed is what Sex says of one capture.
type sexed struct {
	indication Indication
	findings   []record.Finding
}

// sexesOf indicates the sex of every capture, on all processors.
func sexesOf(captures []*record.Capture, rules []SexRule, s Settings) []sexed {
	out := make([]sexed, 0, len(captures))
	_ = lanes.InOrder(slices.Values(captures), func(cs []*record.Capture) []sexed {
		said := make([]sexed, len(cs))
		for i, c := range cs {
			said[i].indication, said[i].findings = Sex(c, rules, s)
		}
		return said
	}, func(said []sexed) error {
		out = append(out, said...)
		return nil
	})
	return out
}
