package quality

import "strconv"

// tallies are the measures that count the answers of the other tests. The
// second value is false where there was nothing to count.
var tallies = map[string]func(counts) (int, bool){
	"MEASURE_AMENDMENTS_PROPOSED":                 func(c counts) (int, bool) { return c.proposed, true },
	"MEASURE_VALIDATIONTESTS_COMPLIANT":           func(c counts) (int, bool) { return c.compliant, c.validations > 0 },
	"MEASURE_VALIDATIONTESTS_NOTCOMPLIANT":        func(c counts) (int, bool) { return c.notCompliant, c.validations > 0 },
	"MEASURE_VALIDATIONTESTS_PREREQUISITESNOTMET": func(c counts) (int, bool) { return c.unmet, c.validations > 0 },
}

// counts sums up the answers of the validations and amendments to one record.
type counts struct {
	validations, compliant, notCompliant, unmet, proposed int
}

func (c *counts) add(t Test, r Response) {
	switch {
	case t.Type == Validation:
		c.validations++
		switch {
		case r.Result == Compliant:
			c.compliant++
		case r.Result == NotCompliant:
			c.notCompliant++
		case r.Status == Internal || r.Status == External:
			c.unmet++
		}
	case r.Status == Amended || r.Status == FilledIn:
		c.proposed++
	}
}

// tallied is a measure by itself: it runs every validation and amendment of the
// table to count. Where all tests are run, [All] counts once instead.
func tallied(tests *[]Test, pick func(counts) (int, bool)) answer {
	return func(r Record, p Params) Response {
		var c counts
		for _, t := range *tests {
			if t.Type == Validation || t.Type == Amendment {
				c.add(t, t.Run(r, p))
			}
		}
		return tally(pick(c))
	}
}

func tally(n int, attempted bool) Response {
	if !attempted {
		return Response{Status: Internal, Result: NotReported, Comment: "no validation was run"}
	}
	return Response{Status: HasResult, Result: strconv.Itoa(n), Comment: strconv.Itoa(n) + " of the tests that this program answers"}
}

// All runs every test of [Tests] once and returns the answers in that order.
func All(r Record, p Params) []Response {
	tests := table()
	answers := make([]Response, len(tests))
	var c counts
	for i, t := range tests {
		if tallies[t.Label] == nil {
			answers[i] = t.Run(r, p)
			c.add(t, answers[i])
		}
	}
	for i, t := range tests {
		if pick := tallies[t.Label]; pick != nil {
			answers[i] = tally(pick(c))
		}
	}
	return answers
}
