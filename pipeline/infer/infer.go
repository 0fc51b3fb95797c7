package infer

import "spadefoot/pipeline/record"

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
