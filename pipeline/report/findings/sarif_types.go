package findings

import "spadefoot/pipeline/record"

// The objects of SARIF 2.1.0 that are written, with the names of the standard.

type sarifLog struct {
	Schema  string     `json:"$schema"`
	Version string     `json:"version"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool       sarifTool     `json:"tool"`
	Language   string        `json:"language"`
	ColumnKind string        `json:"columnKind"`
	Results    []sarifResult `json:"results"`
}

type sarifTool struct {
	Driver sarifDriver `json:"driver"`
}

type sarifDriver struct {
	Name     string      `json:"name"`
	Version  string      `json:"version,omitempty"`
	Language string      `json:"language"`
	Rules    []sarifRule `json:"rules"`
}

type sarifRule struct {
	ID         string              `json:"id"`
	Short      *sarifText          `json:"shortDescription,omitempty"`
	Full       *sarifText          `json:"fullDescription,omitempty"`
	Help       *sarifText          `json:"help,omitempty"`
	Default    *sarifConfiguration `json:"defaultConfiguration,omitempty"`
	Properties *sarifBag           `json:"properties,omitempty"`
}

type sarifText struct {
	Text string `json:"text"`
}

type sarifConfiguration struct {
	Level string `json:"level"`
}

type sarifResult struct {
	RuleID        string              `json:"ruleId"`
	RuleIndex     int                 `json:"ruleIndex"`
	Level         string              `json:"level"`
	Message       sarifMessage        `json:"message"`
	Locations     []sarifLocation     `json:"locations"`
	Related       []sarifLocation     `json:"relatedLocations,omitempty"`
	Fingerprints  map[string]string   `json:"partialFingerprints"`
	BaselineState string              `json:"baselineState,omitempty"`
	Suppressions  *[]sarifSuppression `json:"suppressions,omitempty"` // empty means: not suppressed
	Properties    *sarifBag           `json:"properties,omitempty"`
}

type sarifMessage struct {
	Text string `json:"text"`
}

type sarifSuppression struct {
	Kind          string `json:"kind"`
	Justification string `json:"justification,omitempty"`
}

type sarifLocation struct {
	ID       int            `json:"id,omitempty"`
	Physical *sarifPhysical `json:"physicalLocation,omitempty"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
	Message  *sarifMessage  `json:"message,omitempty"`
}

type sarifPhysical struct {
	Artifact sarifArtifact `json:"artifactLocation"`
	Region   *sarifRegion  `json:"region,omitempty"`
}

type sarifArtifact struct {
	URI string `json:"uri"`
}

type sarifRegion struct {
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn,omitempty"`
	EndLine     int `json:"endLine,omitempty"`
	EndColumn   int `json:"endColumn,omitempty"`
}

type sarifLogical struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
	Full string `json:"fullyQualifiedName"`
}

// sarifBag is a property bag: what the standard has no place for.
type sarifBag struct {
	Tags       []string        `json:"tags,omitempty"`
	Capture    string          `json:"capture,omitempty"`
	Field      string          `json:"field,omitempty"`
	Value      string          `json:"value,omitempty"`
	Suggestion string          `json:"suggestion,omitempty"`
	Group      string          `json:"group,omitempty"`
	Figures    []record.Figure `json:"figures,omitempty"`
	Reference  string          `json:"reference,omitempty"`
	Cells      int             `json:"cells,omitempty"` // with all that are not related locations
}
