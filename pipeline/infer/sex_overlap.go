package infer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
	"spadefoot/pipeline/vocabulary"
)

// How far the sexes of a species overlap in what the team measured is learnt from
// grown animals whose sex is verified: a sign of the rules was seen that agrees
// with it (nuptial pads, eggs), or the notes say so (dissected). What an animal
// without a sex then probably is, is told; nothing is filled in by it.

// sexed is one value of an animal of verified sex: a measurement, or a ratio of a
// rule, as its log.
type sexed struct {
	character, unit string
	log             float64
}

// overlaps are the sexes of each species, by "Genus epithet".
type overlaps map[string]*sexes

// sexes are the verified animals of one species, and those without a sex.
type sexes struct {
	at         record.Address // of the first animal
	characters []*character
	marks      map[uint64]bool // of animals that were counted
	unsexed    []likely        // the first of them
	more       int             // and how many others
	without    []record.Address
}

// character is one measurement or ratio, with its groups by sex.
type character struct {
	name, unit   string
	female, male statistics.NormalGroup
	overlap      statistics.Share
}

const (
	maxSexMarks = 1 << 17 // animals that are told apart by their marks
	shownSexes  = 12      // animals that the note names
	maxUnsexed  = 1000    // cells that it points at
)

// verifiedSex returns the recorded sex of a grown animal, "" where it is not verified.
func (x *Inference) verifiedSex(c *record.Capture, said *spoken, k *lineage) string {
	sex := strings.ToLower(said.sex)
	if sex != Male && sex != Female || k.species == "" || !k.sure || k.young {
		return ""
	}
	seen := false
	for _, r := range k.rules {
		if r.Sign == "" {
			continue
		}
		switch r.says(c, said, &x.settings) {
		case sex:
			seen = true
		case opposite(sex):
			return ""
		}
	}
	if seen {
		return sex
	}
	x.verified.eachNote(c, said, func(n *note) bool {
		seen = n.lookForAny(x.verified.wordings) == present
		return !seen
	})
	if !seen {
		return ""
	}
	return sex
}

// charactersOf lists what may tell the sexes of a capture apart: lengths, the mass
// but of gravid animals, and the ratios of the rules.
func (s *Settings) charactersOf(c *record.Capture, said *spoken, k *lineage) (all []sexed) {
	add := func(name, unit string, value float64) {
		if value > 0 && !math.IsInf(value, 0) && !slices.ContainsFunc(all, func(x sexed) bool { return x.character == name }) {
			all = append(all, sexed{name, unit, math.Log(value)})
		}
	}
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Derived || r.Measurement == s.ConditionMass || sizePower(r.Unit) != 1 || !s.shapely(r.Measurement) {
			continue
		}
		if m, ok := measurementOf(c, r.Measurement); ok && !m.Doubtful {
			add(r.Measurement, m.Unit, m.Value)
		}
	}
	if m, ok := massOf(c, s.ConditionMass); ok && !m.Doubtful && !strings.EqualFold(said.reproductive(), "gravid") {
		add(s.ConditionMass, m.Unit, m.Value)
	}
	for _, r := range k.rules {
		if r.Sign == "" && r.Denominator != "" {
			if m, ok := r.compare(c, s); ok && !m.doubtful {
				add(r.Character, "", m.value)
			}
		}
	}
	return all
}

// add takes a verified animal in.
func (o overlaps) add(c *record.Capture, species, sex string, all []sexed) {
	x := o[species]
	if x == nil {
		x = &sexes{at: c.Address().Clone(), marks: map[uint64]bool{}}
		o[strings.Clone(species)] = x
	}
	if mark := c.Mark(); mark != "" {
		id := uint64(digest.Start.Text(mark))
		if x.marks[id] {
			return // an animal counts once
		}
		if len(x.marks) < maxSexMarks {
			x.marks[id] = true
		}
	}
	for _, v := range all {
		i := slices.IndexFunc(x.characters, func(ch *character) bool { return ch.name == v.character && ch.unit == v.unit })
		if i < 0 {
			i = len(x.characters)
			x.characters = append(x.characters, &character{name: strings.Clone(v.character), unit: strings.Clone(v.unit)})
		}
		if g := &x.characters[i].female; sex == Female {
			g.Add(v.log)
		} else {
			x.characters[i].male.Add(v.log)
		}
	}
}

// settle leaves the characters that enough animals of either sex have, those that
// overlap least first, and reports whether there are any.
func (o overlaps) settle(s *Settings) (some bool) {
	for _, x := range o {
		x.characters = slices.DeleteFunc(x.characters, func(c *character) bool {
			return min(c.female.N, c.male.N) < s.SexLeast || !(c.female.SD > 0) || !(c.male.SD > 0)
		})
		for _, c := range x.characters {
			c.overlap = statistics.Overlap(c.female, c.male)
		}
		sorting.StableFunc(x.characters, func(a, b *character) int {
			return cmp.Or(cmp.Compare(a.overlap.Value, b.overlap.Value), strings.Compare(a.name, b.name))
		})
		some = some || len(x.characters) > 0
	}
	return some
}

// likely is what an animal without a sex probably is, by the character that tells
// most of those that were measured of it.
type likely struct {
	key, sex, by string
	share        statistics.Share
}

// weigh tells of an animal without a sex.
func (o overlaps) weigh(c *record.Capture, said *spoken, k *lineage, s *Settings) {
	x := o[k.species]
	if x == nil || len(x.characters) == 0 || !k.sure || k.young || said.sex != "" && !strings.EqualFold(said.sex, Undetermined) {
		return
	}
	measured := s.charactersOf(c, said, k)
	for _, ch := range x.characters {
		i := slices.IndexFunc(measured, func(v sexed) bool { return v.character == ch.name && v.unit == ch.unit })
		if i < 0 {
			continue
		}
		if len(x.without) < maxUnsexed {
			x.without = append(x.without, c.Address().Clone())
		}
		if len(x.unsexed) >= shownSexes {
			x.more++
			return
		}
		p := statistics.ProbabilityOfFirst(ch.male, ch.female, measured[i].log)
		l := likely{key: strings.Clone(c.Key), sex: Male, by: vocabulary.Label(ch.name), share: p}
		if p.Value < 0.5 {
			l.sex, l.share = Female, statistics.Share{Value: 1 - p.Value, Low: 1 - p.High, High: 1 - p.Low}
		}
		x.unsexed = append(x.unsexed, l)
		return
	}
}

// findings are one note a species.
func (o overlaps) findings() (out []record.Finding) {
	species := make([]string, 0, len(o))
	for name, x := range o {
		if len(x.characters) > 0 {
			species = append(species, name)
		}
	}
	slices.Sort(species)
	for _, name := range species {
		out = append(out, o[name].finding(name))
	}
	return out
}

func (x *sexes) finding(species string) record.Finding {
	best := x.characters[0]
	f := record.Finding{Rule: "sex-overlap", Level: record.Note, At: x.at, Also: x.without, Field: "sex", Group: species,
		Reference: "Inman and Bradley 1989; Venables and Ripley 2002, 12.1",
		Figures:   figures("value", best.overlap.Value, "n", float64(best.female.N+best.male.N))}
	var said []string
	for _, c := range x.characters {
		said = append(said, fmt.Sprintf("%s overlaps by %s (95 %% interval %s to %s; %d females about %s, %d males about %s)", vocabulary.Label(c.name),
			percent(c.overlap.Value), percent(c.overlap.Low), percent(c.overlap.High), c.female.N, c.show(c.female.Mean), c.male.N, c.show(c.male.Mean)))
	}
	f.Reason = "between animals of verified sex, " + strings.Join(said, "; ")
	if len(x.unsexed) > 0 {
		said = said[:0]
		for _, l := range x.unsexed {
			said = append(said, fmt.Sprintf("%s %s with probability %s (%s to %s) by %s", l.key, l.sex, percent(l.share.Value), percent(l.share.Low), percent(l.share.High), l.by))
		}
		f.Reason += ". Unsexed animals, if both sexes were equally common: " + strings.Join(said, "; ")
		if x.more > 0 {
			f.Reason += fmt.Sprintf("; and %d others", x.more)
		}
	}
	f.Reason += ". " + sexCaution
	return f
}

// show writes a mean of logs in the unit of the character.
func (c *character) show(log float64) string {
	text := fmt.Sprintf("%.3g", math.Exp(log))
	if c.unit != "" {
		text += " " + c.unit
	}
	return text
}
