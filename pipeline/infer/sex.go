package infer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// The sexes that an indication can name.
const (
	Male         = "male"
	Female       = "female"
	Undetermined = "undetermined"
)

// Indication is what recorded characters say of the sex of one capture.
type Indication struct {
	Capture  string // ID
	Recorded string // sex as recorded
	Sex      string // Male, Female or Undetermined
	Why      string // for Undetermined: what was in the way
	Method   string // how Sex came about
	Evidence []Evidence
	// Fill is the value for an empty sex, with method and remark; nil unless
	// the survey consented and a sex is indicated.
	Fill *record.Value
}

// Evidence is what one character says.
type Evidence struct {
	Character string
	Sex       string // Male, Female or Undetermined
	Why       string
	Value     float64 // ratio or measurement; 0 for a sign
	Expanded  float64 // its uncertainty, SexCoverage standard uncertainties
	Standard  float64
	Threshold float64 // the nearer one
	N         int     // readings
	Source    string
	At        record.Address
	Also      []record.Address
	Written   string
}

// Sex indicates the sex of one capture from the rules of its taxon. Where there
// is not a rule, the animal is young, or a value lies within its uncertainty of a
// threshold, it is Undetermined and Why says so. The findings are a recorded sex
// that disagrees, signs that contradict each other, and an empty sex for which
// there is an indication. The capture is not changed.
func Sex(c *record.Capture, rules []SexRule, s Settings) (Indication, []record.Finding) {
	reader := newReader()
	said := reader.read(c)
	all := lineages{settings: &s, rules: prepared(rules)}
	return indicate(c, &said, all.make(said.naming), &s)
}

func indicate(c *record.Capture, said *clues, k *lineage, s *Settings) (Indication, []record.Finding) {
	ind := Indication{Capture: c.ID, Recorded: said.sex, Sex: Undetermined}
	if k.young {
		ind.Why = "recorded as " + k.lifeStage
		return ind, nil
	}
	if len(k.rules) == 0 {
		ind.Why = "no rule for the taxon"
		return ind, nil
	}
	for _, r := range k.rules {
		if e, ok := r.judge(c, said, s); ok {
			ind.Evidence = append(ind.Evidence, e)
		}
	}
	return conclude(c, ind, cmp.Or(k.species, said.name), s)
}

// uneventful reports whether indicate would return no finding. It makes no
// texts: of most captures the rules say nothing, or what was recorded.
func uneventful(c *record.Capture, said *clues, k *lineage, s *Settings) bool {
	clear := Undetermined
	for _, r := range k.rules {
		sex := r.sex(c, said, s)
		if sex == Undetermined {
			continue
		}
		if clear != Undetermined && sex != clear {
			return false
		}
		clear = sex
	}
	return clear == Undetermined || said.sex != "" && !strings.EqualFold(said.sex, opposite(clear))
}

// judge returns what one rule says, and false where nothing was recorded on it.
func (r *sexRule) judge(c *record.Capture, said *clues, s *Settings) (Evidence, bool) {
	if r.Sign != "" {
		return r.judgeSign(c, said)
	}
	return r.judgeMeasured(said, s)
}

// sex returns the sex that judge gives.
func (r *sexRule) sex(c *record.Capture, said *clues, s *Settings) string {
	if r.Sign == "" {
		m, ok := r.compare(said, s)
		if !ok {
			return Undetermined
		}
		return m.sex
	}
	sex := Undetermined
	r.eachNote(c, said, func(n *note) bool {
		if n.lookForAny(r.wordings) == present {
			sex = r.ofSign()
		}
		return sex == Undetermined
	})
	return sex
}

// ofSign is the sex of animals with the sign.
func (r *sexRule) ofSign() string {
	if r.Direction == PresentFemale {
		return Female
	}
	return Male
}

func (r *sexRule) judgeSign(c *record.Capture, said *clues) (Evidence, bool) {
	e := Evidence{Character: r.Character, Source: r.Source, Sex: Undetermined}
	r.eachNote(c, said, func(n *note) bool {
		switch n.lookForAny(r.wordings) {
		case present:
			e.Sex, e.At, e.Written, e.Why = r.ofSign(), n.address(c), n.text, ""
			return false
		case absent:
			e.Why, e.At, e.Written = r.Character+" recorded as absent, which proves nothing", n.address(c), n.text
		case unsure:
			e.Why, e.At, e.Written = r.Character+" recorded with doubt", n.address(c), n.text
		}
		return true
	})
	return e, e.Sex != Undetermined || e.Why != ""
}

// conclude joins the evidence.
func conclude(c *record.Capture, ind Indication, taxon string, s *Settings) (Indication, []record.Finding) {
	var clear []Evidence
	for _, e := range ind.Evidence {
		if e.Sex != Undetermined {
			clear = append(clear, e)
		} else if ind.Why == "" {
			ind.Why = e.Why
		}
	}
	if len(clear) == 0 {
		if ind.Why == "" {
			ind.Why = "no character of the rules was recorded"
		}
		return ind, nil
	}
	if slices.ContainsFunc(clear, func(e Evidence) bool { return e.Sex != clear[0].Sex }) {
		ind.Why = "the signs contradict each other"
		return ind, []record.Finding{conflict(c, taxon, clear)}
	}
	ind.Sex, ind.Why, ind.Method = clear[0].Sex, "", methodOf(clear)
	switch {
	case ind.Recorded == "" && s.FillSex:
		ind.Fill = &record.Value{Field: &record.Field{Term: "sex", Remark: "indicated by " + ind.Method + "; not recorded in the field. " + sexCaution}, Text: ind.Sex}
		return ind, []record.Finding{sexFinding(c, taxon, ind, clear, "sex-filled", record.Note)}
	case ind.Recorded == "":
		return ind, []record.Finding{sexFinding(c, taxon, ind, clear, "sex-indicated", record.Note)}
	case strings.EqualFold(ind.Recorded, opposite(ind.Sex)):
		level := record.Note
		if slices.ContainsFunc(clear, func(e Evidence) bool { return e.beyondOverlap(s) }) {
			level = record.Warning
		}
		return ind, []record.Finding{sexFinding(c, taxon, ind, clear, "sex-disagrees", level)}
	}
	return ind, nil
}

// beyondOverlap reports whether a sign is one that hardly any animal of the
// other sex has: what is measured varies among animals of one sex, too.
func (e Evidence) beyondOverlap(s *Settings) bool {
	if e.N == 0 {
		return true
	}
	spread := math.Hypot(e.Standard, s.SexOverlap*e.Threshold)
	return math.Abs(e.Value-e.Threshold) >= s.SexCoverage*spread
}

func opposite(sex string) string {
	if sex == Male {
		return Female
	}
	return Male
}

func methodOf(clear []Evidence) string {
	var parts []string
	for _, e := range clear {
		parts = append(parts, e.String())
	}
	return strings.Join(parts, "; ")
}

// String writes the evidence for people: "tympanum to eye ratio 1.21 ± 0.07
// against 1.00 (k = 2; common practice …)".
func (e Evidence) String() string {
	if e.N == 0 {
		return fmt.Sprintf("%s recorded (%s)", e.Character, e.Source)
	}
	return fmt.Sprintf("%s %.2f ± %.2f against %.2f (%s)", e.Character, e.Value, e.Expanded, e.Threshold, e.Source)
}
