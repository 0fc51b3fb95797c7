package infer

import (
	"cmp"
	"fmt"
	"maps"
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
// without a sex then probably is, is reported; nothing is filled in by it.

// sexed is one value of an animal of verified sex: a measurement, or a ratio of a
// rule, as its log.
type sexed struct {
	Character, Unit string
	Log             float64
}

// overlaps are the sexes of each species, by "Genus epithet".
type overlaps map[string]*sexes

// sexes are the verified animals of one species.
type sexes struct {
	At         record.Address         // of the first animal
	First      int                    // its number
	Animals    map[uint64]sexedAnimal // by the hash of their marks, or of their IDs: an animal counts once
	Chosen     uint64                 // animals up to this hash are counted
	characters []*character
	unsexed    unsexed
}

// sexedAnimal is an animal of verified sex at its first capture.
type sexedAnimal struct {
	N      int // number of the capture
	Male   bool
	Values []sexed
}

// unsexed are animals without a sex.
type unsexed struct {
	Likely  []likely // the first of them
	More    int      // and how many others
	Without []record.Address
}

// character is one measurement or ratio, with its groups by sex.
type character struct {
	name, unit   string
	female, male statistics.NormalGroup
	overlap      statistics.Share
}

const (
	shownSexes = 12   // animals that the note names
	maxUnsexed = 1000 // cells that it points at
)

// verifiedSex returns the recorded sex of a grown animal, "" where it is not verified.
func (x *Inference) verifiedSex(c *record.Capture, said *clues, k *lineage) string {
	sex := strings.ToLower(said.sex)
	if sex != Male && sex != Female || k.species == "" || !k.sure || k.young {
		return ""
	}
	seen := false
	for _, r := range k.rules {
		if r.Sign == "" {
			continue
		}
		switch r.sex(c, said, &x.settings) {
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
func (s *Settings) charactersOf(said *clues, k *lineage) (all []sexed) {
	add := func(name, unit string, value float64) {
		if value > 0 && !math.IsInf(value, 0) && !slices.ContainsFunc(all, func(x sexed) bool { return x.Character == name }) {
			all = append(all, sexed{name, unit, math.Log(value)})
		}
	}
	for i := range said.readings {
		r := &said.readings[i]
		if r.Derived || r.Measurement == s.ConditionMass || sizePower(r.Unit) != 1 || !s.shapely(r.Measurement) {
			continue
		}
		if m, ok := said.measurement(r.Measurement); ok && !m.Doubtful {
			add(r.Measurement, m.Unit, m.Value)
		}
	}
	if m, ok := said.mass(s.ConditionMass); ok && !m.Doubtful && !strings.EqualFold(said.reproductive(), "gravid") {
		add(s.ConditionMass, m.Unit, m.Value)
	}
	for _, r := range k.rules {
		if r.Sign == "" && r.Denominator != "" {
			if m, ok := r.compare(said, s); ok && !m.doubtful {
				add(r.Character, "", m.value)
			}
		}
	}
	return all
}

// add takes a verified animal in.
func (o overlaps) add(n int, c *record.Capture, species, sex string, all []sexed, x *Inference) {
	id := digest.Spread(uint64(digest.Start.Text(cmp.Or(c.Mark(), c.ID))))
	for i := range all {
		all[i].Character, all[i].Unit = x.texts.of(all[i].Character).name, x.texts.of(all[i].Unit).name
	}
	of := o.of(species, c.Address().Clone(), n)
	of.take(id, sexedAnimal{n, sex == Male, all}, x.most)
}

// of is what is gathered of a species, one of whose captures is at a place.
func (o overlaps) of(species string, at record.Address, n int) *sexes {
	x := o[species]
	if x == nil {
		x = &sexes{At: at, First: n, Animals: map[uint64]sexedAnimal{}, Chosen: ^uint64(0)}
		o[strings.Clone(species)] = x
	}
	if n < x.First {
		x.At, x.First = at, n
	}
	return x
}

// take takes an animal in. Of more than most so many are chosen by their hashes.
func (x *sexes) take(id uint64, a sexedAnimal, most int) {
	if before, known := x.Animals[id]; id > x.Chosen || known && before.N <= a.N {
		return
	}
	if x.Animals[id] = a; len(x.Animals) > most+most/8 {
		x.choose(most)
	}
}

func (x *sexes) choose(most int) {
	if len(x.Animals) <= most {
		return
	}
	x.Chosen = slices.Sorted(maps.Keys(x.Animals))[most-1]
	maps.DeleteFunc(x.Animals, func(id uint64, _ sexedAnimal) bool { return id > x.Chosen })
}

// join adds the animals of other parts.
func (o overlaps) join(from overlaps, most int) {
	for species, theirs := range from {
		own := o.of(species, theirs.At, theirs.First)
		if theirs.Chosen < own.Chosen {
			own.Chosen = theirs.Chosen
			maps.DeleteFunc(own.Animals, func(id uint64, _ sexedAnimal) bool { return id > own.Chosen })
		}
		for id, a := range theirs.Animals {
			own.take(id, a, most)
		}
	}
}

// compare makes the groups of the sexes.
func (x *sexes) compare(most int) {
	x.choose(most)
	for _, id := range slices.Sorted(maps.Keys(x.Animals)) {
		a := x.Animals[id]
		for _, v := range a.Values {
			i := slices.IndexFunc(x.characters, func(ch *character) bool { return ch.name == v.Character && ch.unit == v.Unit })
			if i < 0 {
				i = len(x.characters)
				x.characters = append(x.characters, &character{name: v.Character, unit: v.Unit})
			}
			if a.Male {
				x.characters[i].male.Add(v.Log)
			} else {
				x.characters[i].female.Add(v.Log)
			}
		}
	}
	x.Animals = nil
}

// settle leaves the characters that enough animals of either sex have, those that
// overlap least first, and reports whether there are any.
func (o overlaps) settle(s *Settings, most int) (some bool) {
	for _, x := range o {
		x.compare(most)
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
	Key, Sex, By string
	Share        statistics.Share
}

// weigh tells of an animal without a sex.
func (o overlaps) weigh(c *record.Capture, said *clues, k *lineage, s *Settings, to *Compared) {
	x := o[k.species]
	if x == nil || len(x.characters) == 0 || !k.sure || k.young || said.sex != "" && !strings.EqualFold(said.sex, Undetermined) {
		return
	}
	measured := s.charactersOf(said, k)
	for _, ch := range x.characters {
		i := slices.IndexFunc(measured, func(v sexed) bool { return v.Character == ch.name && v.Unit == ch.unit })
		if i < 0 {
			continue
		}
		p := statistics.ProbabilityOfFirst(ch.male, ch.female, measured[i].Log)
		l := likely{Key: strings.Clone(c.Key), Sex: Male, By: vocabulary.Label(ch.name), Share: p}
		if p.Value < 0.5 {
			l.Sex, l.Share = Female, statistics.Share{Value: 1 - p.Value, Low: 1 - p.High, High: 1 - p.Low}
		}
		if to.Unsexed == nil {
			to.Unsexed = map[string]*unsexed{}
		}
		if to.Unsexed[k.species] == nil {
			to.Unsexed[strings.Clone(k.species)] = &unsexed{}
		}
		to.Unsexed[k.species].take(&unsexed{[]likely{l}, 0, []record.Address{c.Address().Clone()}})
		return
	}
}

// take adds those behind them.
func (u *unsexed) take(o *unsexed) {
	room := min(len(o.Likely), shownSexes-len(u.Likely))
	u.Likely, u.More = append(u.Likely, o.Likely[:room]...), u.More+o.More+len(o.Likely)-room
	u.Without = append(u.Without, o.Without[:min(len(o.Without), maxUnsexed-len(u.Without))]...)
}

// take adds what was said of animals without a sex.
func (o overlaps) take(all map[string]*unsexed) {
	for species, u := range all {
		o[species].unsexed.take(u)
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
	f := record.Finding{Rule: "sex-overlap", Level: record.Note, At: x.At, Also: x.unsexed.Without, Field: "sex", Group: species,
		Reference: "Inman and Bradley 1989; Venables and Ripley 2002, 12.1",
		Figures:   figures("value", best.overlap.Value, "n", float64(best.female.N+best.male.N))}
	var said []string
	for _, c := range x.characters {
		said = append(said, fmt.Sprintf("%s overlaps by %s (95 %% interval %s to %s; %d females about %s, %d males about %s)", vocabulary.Label(c.name),
			percent(c.overlap.Value), percent(c.overlap.Low), percent(c.overlap.High), c.female.N, c.show(c.female.Mean), c.male.N, c.show(c.male.Mean)))
	}
	f.Reason = "between animals of verified sex, " + strings.Join(said, "; ")
	if len(x.unsexed.Likely) > 0 {
		said = said[:0]
		for _, l := range x.unsexed.Likely {
			said = append(said, fmt.Sprintf("%s %s with probability %s (%s to %s) by %s", l.Key, l.Sex, percent(l.Share.Value), percent(l.Share.Low), percent(l.Share.High), l.By))
		}
		f.Reason += ". Unsexed animals, if both sexes were equally common: " + strings.Join(said, "; ")
		if x.unsexed.More > 0 {
			f.Reason += fmt.Sprintf("; and %d others", x.unsexed.More)
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
