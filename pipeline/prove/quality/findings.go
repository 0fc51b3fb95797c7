package quality

import (
	"strings"

	"spadefoot/pipeline/record"
)

// needsDivision fails where a country is given without a division; by its
// own notes it is not for data that name the country only.
const needsDivision = "VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS"

// Findings returns a finding for each validation that fails and each issue among
// the answers to a record, at no place yet. What is missing is a note.
func (a *Answers) Findings(r Record) []record.Finding {
	var found []record.Finding
	for i := range a.Tests {
		t, answer := &a.Tests[i], &a.Responses[i]
		f := record.Finding{Rule: "quality-validation", Level: record.Warning, Reason: answer.Comment, Reference: t.Label}
		prefixed := writtenTerm(r, t, everyTerm)
		switch {
		case answer.Result == PotentialIssue:
			f.Rule, f.Level = "quality-issue", record.Note
		case answer.Result != NotCompliant:
			continue
		case prefixed == "" || strings.HasSuffix(t.Label, "_NOTEMPTY"):
			f.Rule, f.Level = "quality-empty", record.Note
		}
		if prefixed == "" && len(t.ActedUpon) > 0 {
			prefixed = t.ActedUpon[0]
		}
		f.Field = bare(prefixed)
		f.Value = r(f.Field)
		if t.Type == Validation && f.Rule == "quality-validation" {
			f.Suggestion = proposed(r, a.params, t, prefixed)
		}
		found = append(found, f)
	}
	return found
}

// doubts reports whether a test can give a finding.
func (t *Test) doubts() bool {
	return t.Type == Issue || t.Type == Validation && !strings.HasSuffix(t.Label, "_NOTEMPTY")
}

// doubted returns what one test finds.
func doubted(t *Test, r Record, p Params, wrote func(term string) bool) (f record.Finding, ok bool) {
	prefixed := writtenTerm(r, t, wrote)
	if prefixed == "" || t.Label == needsDivision && !r.has("stateProvince") {
		return f, false
	}
	answer := t.Run(r, p)
	f = record.Finding{Field: bare(prefixed), Value: r(bare(prefixed)), Reason: answer.Comment, Reference: t.Label}
	switch answer.Result {
	case NotCompliant:
		f.Rule, f.Level = "quality-validation", record.Warning
		f.Suggestion = proposed(r, p, t, prefixed)
	case PotentialIssue:
		f.Rule, f.Level = "quality-issue", record.Note
	default:
		return f, false
	}
	return f, true
}

// writtenTerm returns the first term that the test acts upon, that was written
// and that holds a value.
func writtenTerm(r Record, t *Test, wrote func(term string) bool) string {
	for _, prefixed := range t.ActedUpon {
		if term := bare(prefixed); r.has(term) && wrote(term) {
			return prefixed
		}
	}
	return ""
}

// proposed returns the value that the amendment paired with a validation has for
// the term, or "".
func proposed(r Record, p Params, t *Test, prefixed string) string {
	amendment, ok := amendmentOf(t)
	switch {
	case !ok:
		return ""
	case amendment.Label == transposed:
		return changes(r, p, amendment)
	}
	return amendment.Run(r, p).Amended[prefixed]
}

const transposed = "AMENDMENT_COORDINATES_TRANSPOSED"

// amendmentOf returns the amendment that is paired with a validation.
func amendmentOf(t *Test) (Test, bool) {
	name, ok := strings.CutPrefix(t.Label, "VALIDATION_")
	switch {
	case t.Label == "VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT":
		return Find(transposed)
	case !ok || !strings.HasSuffix(name, "_STANDARD"):
		return Test{}, false
	}
	return Find("AMENDMENT_" + name + "IZED")
}

// changes writes what an amendment of several terms proposes.
func changes(r Record, p Params, amendment Test) string {
	answer := amendment.Run(r, p)
	var parts []string
	for _, prefixed := range amendment.ActedUpon {
		if value, ok := answer.Amended[prefixed]; ok {
			parts = append(parts, bare(prefixed)+" "+value)
		}
	}
	return strings.Join(parts, ", ")
}
