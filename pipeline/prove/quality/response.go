package quality

import (
	"bytes"
	"fmt"

	"spadefoot/pipeline/record"
)

// Statuses and results, as published.
const (
	HasResult  = "RUN_HAS_RESULT"
	Internal   = "INTERNAL_PREREQUISITES_NOT_MET"
	External   = "EXTERNAL_PREREQUISITES_NOT_MET"
	Amended    = "AMENDED"
	FilledIn   = "FILLED_IN"
	NotAmended = "NOT_AMENDED"

	Compliant      = "COMPLIANT"
	NotCompliant   = "NOT_COMPLIANT"
	PotentialIssue = "POTENTIAL_ISSUE"
	NotIssue       = "NOT_ISSUE"
	NotReported    = "NOT_REPORTED" // result of a measure whose prerequisites are not met
)

// Response is what a test says of a record. Result is empty unless the test has
// one; for an amendment it is Amended as a JSON object with sorted keys.
type Response struct {
	Status  string
	Result  string
	Comment string
	Amended map[string]string // prefixed term to proposed value
	Source  string            // what answered in place of the default authority of the test, or ""
}

func compliant(why string, args ...any) Response {
	return Response{Status: HasResult, Result: Compliant, Comment: fmt.Sprintf(why, args...)}
}

func notCompliant(why string, args ...any) Response {
	return Response{Status: HasResult, Result: NotCompliant, Comment: fmt.Sprintf(why, args...)}
}

// judged is compliant or not compliant by a condition, with a reason for each.
func judged(good bool, yes, no string) Response {
	if good {
		return Response{Status: HasResult, Result: Compliant, Comment: yes}
	}
	return Response{Status: HasResult, Result: NotCompliant, Comment: no}
}

// issue is a potential issue or none by a condition, with a reason for each.
func issue(there bool, yes, no string) Response {
	if there {
		return Response{Status: HasResult, Result: PotentialIssue, Comment: yes}
	}
	return Response{Status: HasResult, Result: NotIssue, Comment: no}
}

func internal(why string, args ...any) Response {
	return Response{Status: Internal, Comment: fmt.Sprintf(why, args...)}
}

func external(why string, args ...any) Response {
	return Response{Status: External, Comment: fmt.Sprintf(why, args...)}
}

func notAmended(why string, args ...any) Response {
	return Response{Status: NotAmended, Comment: fmt.Sprintf(why, args...)}
}

func proposal(status string, changes map[string]string, why string, args ...any) Response {
	return Response{Status: status, Result: object(changes), Amended: changes, Comment: fmt.Sprintf(why, args...)}
}

// holding judges the value of a term, which must be there.
func holding(term string, good func(value string) bool, yes, no string) answer {
	return func(r Record, _ Params) Response {
		if !r.has(term) {
			return internal("%s is empty", term)
		}
		return judged(good(r(term)), yes, no)
	}
}

// standardised proposes the one thing that a value can mean, where it is not that
// already. Meant returns "" where it can mean none or several.
func standardised(prefixed string, good func(value string) bool, meant func(value string) string, already, one string) answer {
	term := bare(prefixed)
	return func(r Record, _ Params) Response {
		v := r(term)
		switch {
		case Empty(v):
			return internal("%s is empty", term)
		case good(v):
			return notAmended("%s is already %s", term, already)
		}
		value := meant(v)
		if value == "" {
			return notAmended("%s %q cannot be read as one %s", term, v, one)
		}
		return proposal(Amended, map[string]string{prefixed: value}, "%s %q is read as %s", term, v, value)
	}
}

// object writes a JSON object with sorted keys and no HTML escapes.
func object(changes map[string]string) string {
	var b bytes.Buffer
	_ = record.WriteJSON(&b, changes, "", "") // a map of strings to memory: it can't fail
	return string(bytes.TrimRight(b.Bytes(), "\n"))
}
