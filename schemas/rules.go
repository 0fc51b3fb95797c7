package schemas

import (
	"fmt"
	"io/fs"
	"sort"
	"sync"
)

// Rule describes one rule code: which stage raises it, its usual level, what
// it says in a line, and what a person can do about it.
type Rule struct {
	Code    string `csv:"rule" json:"rule"`
	Stage   string `csv:"stage" json:"stage"`
	Level   string `csv:"level" json:"level"`
	Summary string `csv:"summary" json:"summary"`
	Help    string `csv:"help" json:"help"`
}

// Rules returns every rule, sorted by code. A rule that two stages raise stands
// in the files of both, at one level; its stages are joined and the summary of
// the first holds. It fails if the levels differ or a level is not note,
// warning or error.
var Rules = sync.OnceValues(func() ([]Rule, error) {
	names, err := fs.Glob(Files, "rules/*.csv")
	if err != nil {
		return nil, err
	}
	var all []Rule
	at := map[string]int{}
	for _, name := range names {
		rows, err := Table[Rule](name)
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			switch r.Level {
			case "note", "warning", "error":
			default:
				return nil, fmt.Errorf("%s: rule %s has level %q", name, r.Code, r.Level)
			}
			i, twice := at[r.Code]
			if !twice {
				at[r.Code] = len(all)
				all = append(all, r)
				continue
			}
			if all[i].Level != r.Level || all[i].Stage == r.Stage {
				return nil, fmt.Errorf("%s: rule %s stands there twice, or at another level than in the stage %s", name, r.Code, all[i].Stage)
			}
			all[i].Stage += ", " + r.Stage
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Code < all[j].Code })
	return all, nil
})

// RuleOf returns every rule by its code. The tables are part of the program, and
// a test reads them: it has none only if Rules fails.
var RuleOf = sync.OnceValue(func() map[string]Rule {
	out := map[string]Rule{}
	rules, _ := Rules()
	for _, r := range rules {
		out[r.Code] = r
	}
	return out
})
