package mapping

import (
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// personal are names of people.
func (t *trial) personal() bool { return t.kind == kindPerson }

var againstPeople = []objection{
	{why: "each row has a number of its own, and people have names",
		when: func(t *trial) bool {
			return t.p.filled > 20 && t.p.onceEach() && t.p.ofTexts(codeNumber().MatchString) > 0.9
		}},
	{why: "the values are numbers with decimals, and people have names",
		when: func(t *trial) bool { return t.p.numeric > 0.9 && t.p.whole < 0.9 }},
	{why: "the values are not names of people",
		when: func(t *trial) bool { return t.partial && t.p.ofTexts(personal().MatchString) < 0.5 }},
}

// codeNumber matches letters with a number: e001, LMC-12.
var codeNumber = pattern.Of(`^\p{L}{1,4}[-_ ]?\d+$`)

// worded are remarks, and terms that have words of a vocabulary.
func (t *trial) worded() bool {
	return t.remarked() || t.is("lifeStage", "samplingProtocol", "occurrenceStatus", "reproductiveCondition")
}

// remarked reports whether the meaning is a remark.
func (t *trial) remarked() bool { return strings.HasSuffix(t.meaning.Term, "Remarks") }

var againstWords = []objection{
	{why: "a clip is a mark, and nothing says whether of a toe, a fin or an ear, or what its codes mean",
		when: func(t *trial) bool {
			return t.is("occurrenceRemarks") && t.group != "fish" && slices.Equal(t.reading.words, []string{"clip"})
		}},
	{why: "animals are measured in rows that it would call absent",
		when: func(t *trial) bool { return t.is("occurrenceStatus") && t.measuredWhere(t.saysAbsent) }},
	{why: "the values are numbers that increase from row to row",
		when: func(t *trial) bool { return t.remarked() && t.p.counting > 0.8 && t.p.filled > 5 }},
	{why: "each row has a number of its own, and remarks are words",
		when: func(t *trial) bool {
			return t.remarked() && t.p.filled > 5 && t.p.onceEach() && t.p.ofTexts(codeNumber().MatchString) > 0.9
		}},
	{why: "%d different letters are a code, not remarks",
		when:    func(t *trial) bool { return t.remarked() && t.p.distinct <= 3 && t.p.filled > 20 && t.p.length <= 1 },
		figures: func(t *trial) []any { return []any{t.p.distinct} }},
	{why: "the values are initials",
		when: func(t *trial) bool {
			return t.remarked() && t.p.unique < 0.3 && t.p.ofTexts(smallInitials().MatchString) > 0.9 &&
				t.it.may(func(o *candidate) bool { return o.meaning.Term == "recordedBy" })
		}},
	{why: "the values are numbers, and remarks are words",
		when: func(t *trial) bool { return t.is("occurrenceRemarks") && t.p.numeric > 0.9 && t.p.filled > 5 }},
	{why: "two letters stand for other things too, and nothing says that the animals are birds",
		when: func(t *trial) bool {
			return t.is("reproductiveCondition") && utf8.RuneCountInString(t.candidate.heading) <= 2 && (t.p.numeric > 0.9 || t.p.yesNo()) && t.group != "bird"
		}},
	{why: "none of the words is one for it, and nothing else says that animals were looked at",
		when: func(t *trial) bool {
			return t.is("reproductiveCondition") && t.p.filled > 5 && t.p.numeric == 0 && t.p.length > codeLetters && !t.saysElsewhere() &&
				t.p.ofTexts(knownWith(t.know.listOf(t.meaning.Term), t.meaning.Vocabulary)) == 0
		}},
	{why: "nothing says what the numbers mean",
		when: func(t *trial) bool {
			return t.p.numeric > 0.9 && (t.is("eventRemarks") || t.is("lifeStage", "samplingProtocol") && len(t.meaning.Vocabulary) == 0)
		}},
}

// codeLetters is the mean length up to which texts may be codes of a team.
const codeLetters = 3

// measuredWhere reports whether a row has a length or a mass in which the text of an
// item is such.
func (t *trial) measuredWhere(such func(text string) bool) bool {
	sizes := slices.DeleteFunc(slices.Clone(t.items), func(o *item) bool {
		return o.chosen == nil || !isMeasured(o.chosen) || o.chosen.weight == 0
	})
	return slices.ContainsFunc(t.table.Rows, func(row record.TableRow) bool {
		i := t.it.columns[0]
		return i < len(row.Cells) && such(row.Cells[i].Text) && slices.ContainsFunc(sizes, func(o *item) bool {
			i := o.columns[0]
			return i < len(row.Cells) && plainNumber().MatchString(row.Cells[i].Text)
		})
	})
}

// saysAbsent reports whether a text is a word for absent.
func (g *guesser) saysAbsent(text string) bool {
	status, _, _ := g.know.listOf("occurrenceStatus").Known(text, nil)
	return status == "absent"
}

func isZero(text string) bool { return strings.TrimSpace(text) == "0" }
