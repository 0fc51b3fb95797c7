package mapping

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
)

// ofHeadings are the rules that hold of many headings of a table for one cause:
// the mapping does not know them.
var ofHeadings = map[string]bool{ruleUnmatched: true, ruleGuessed: true}

// joined makes one finding of those of one rule and level on the headings of a
// table. The value lists the headings, so that it is another finding where
// another heading comes.
func joined(fs []record.Finding) []record.Finding {
	type kind struct {
		rule  string
		level record.Level
	}
	of := map[kind][]record.Finding{}
	for _, f := range fs {
		if ofHeadings[f.Rule] {
			of[kind{f.Rule, f.Level}] = append(of[kind{f.Rule, f.Level}], f)
		}
	}
	out := fs[:0:0]
	for _, f := range fs {
		k := kind{f.Rule, f.Level}
		switch list := of[k]; {
		case len(list) > 0:
			out = append(out, join(list))
			of[k] = list[:0]
		case !ofHeadings[f.Rule]:
			out = append(out, f)
		}
	}
	return out
}

// join tells the reasons of a list, which differ in their last word, as one, and
// names the headings, of which the address has only the column.
func join(list []record.Finding) record.Finding {
	f := list[0]
	var headings, last []string
	of := map[string][]string{} // headings by last word
	for i, o := range list {
		heading := strings.TrimSpace(o.Field)
		headings = append(headings, heading)
		word := o.Reason[strings.LastIndex(o.Reason, " ")+1:]
		if of[word] == nil {
			last = append(last, word)
		}
		of[word] = append(of[word], heading)
		if i > 0 {
			f.Also = append(f.Also, o.At)
		}
	}
	for i, word := range last {
		if said := strings.Trim(strings.Join(of[word], ", "), ", "); said != "" {
			last[i] = fmt.Sprintf("%s (%s)", word, said)
		}
	}
	if len(list) > 1 {
		f.Value, f.Field = strings.Join(headings, " | "), ""
	}
	f.Reason = f.Reason[:strings.LastIndex(f.Reason, " ")+1] + strings.Join(last, ", ")
	return f
}
