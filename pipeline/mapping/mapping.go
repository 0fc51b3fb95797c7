package mapping

import (
	"errors"
	"fmt"
	"regexp"
	"regexp/syntax"
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record"
)

// Mapping is what each heading means.
type Mapping struct {
	Name        string                       `json:"name"`
	Key         []string                     `json:"key"`
	Session     []string                     `json:"session"`
	Marks       []string                     `json:"marks"` // terms within whose values a mark names one animal
	Decimal     string                       `json:"decimal"`
	DateOrder   string                       `json:"dateOrder"`
	ZeroMissing bool                         `json:"zeroMissing"`
	Remarks     string                       `json:"remarks"`
	Weighing    Weighing                     `json:"weighing"`
	Words       map[string]map[string]string `json:"words"`
	Headings    []Heading                    `json:"headings"`
}

// Weighing says how the mass of the animal comes about.
type Weighing struct {
	Way   record.WeighWay `json:"way"`
	Unit  string          `json:"unit"`
	Scale string          `json:"scale"`
	Tare  float64         `json:"tare"`

	TareSpread float64 `json:"tareSpread"` // standard deviation of the bags that the tare stands for
}

// Heading is one heading and its meaning.
type Heading struct {
	Heading     string            `json:"heading"`
	Also        []string          `json:"also"`
	Pattern     string            `json:"pattern"`
	Term        string            `json:"term"`
	Measurement string            `json:"measurement"`
	Unit        string            `json:"unit"`
	UnitGuessed bool              `json:"unitGuessed"`
	Instrument  string            `json:"instrument"`
	Observer    string            `json:"observer"`
	Side        string            `json:"side"`
	Replicate   int               `json:"replicate"`
	Weighing    string            `json:"weighing"`
	Long        string            `json:"long"`
	Aside       string            `json:"aside"`
	Words       map[string]string `json:"words"`
	Decimal     string            `json:"decimal"`
	DateOrder   string            `json:"dateOrder"`
	CarryDown   *bool             `json:"carryDown"`
	Compass     string            `json:"compass"`
	Angle       string            `json:"angle"`
	ZeroMissing *bool             `json:"zeroMissing"`

	pattern *regexp.Regexp
	names   []string // folded
}

// Known are the words that a mapping may use, asked of the packages that own
// them.
type Known struct {
	Term         func(name string) (ok bool, nearest string)
	Measurement  func(name string) (ok bool, nearest string)
	Unit         func(code string) (ok bool, nearest string)
	Instruments  []string
	Repeatable   func(term string) bool // terms that several columns may fill, joined by " | "
	OneColumn    bool                   // two columns of any other term are a *Clash, as drafts need it; else the first that holds something fills the term
	UnitOf       func(measurement string) string
	HeadingParts func(heading string) (unit, rest string, ok bool)
}

// Parse reads a mapping. The error is of type config.Mistakes.
func Parse(doc *config.Document, known Known) (*Mapping, error) {
	if err := doc.Check("mapping.schema.json"); err != nil {
		return nil, err
	}
	var m Mapping
	if err := doc.Decode(&m); err != nil {
		return nil, err
	}
	var ms config.Mistakes
	for i := range m.Headings {
		ms = append(ms, m.Headings[i].settle(doc, fmt.Sprintf("headings.%d", i), known)...)
	}
	ms = append(ms, m.keyMistakes(doc, known)...)
	ms = append(ms, m.repeated(doc)...)
	if len(ms) > 0 {
		return nil, ms
	}
	return &m, nil
}

// settle compiles the pattern and checks what a schema cannot say.
func (h *Heading) settle(doc *config.Document, path string, known Known) config.Mistakes {
	var ms config.Mistakes
	add := func(key, problem, nearest string) {
		p := path
		if key != "" {
			p += "." + key
		}
		ms = append(ms, config.Mistake{File: doc.File, Line: doc.Line(p), Path: p, Problem: problem, Nearest: nearest})
	}
	if h.Heading == "" && h.Pattern == "" {
		add("", "has neither a heading nor a pattern; give one of them", "")
	}
	meanings := 0
	for _, m := range []string{h.Term, h.Measurement, h.Weighing, h.Long, h.Aside} {
		if m != "" {
			meanings++
		}
	}
	if meanings != 1 {
		add("", fmt.Sprintf("has %d meanings; give exactly one of term, measurement, weighing, long, aside", meanings), "")
	}
	if h.Pattern != "" {
		re, err := regexp.Compile("(?i)^(?:" + h.Pattern + ")$")
		if err != nil {
			why := err.Error()
			if e, ok := errors.AsType[*syntax.Error](err); ok {
				why = e.Code.String()
			}
			add("pattern", fmt.Sprintf("found %q, which is not a regular expression: %s; spadefoot help mapping shows one", h.Pattern, why), "")
		}
		h.pattern = re
	}
	if h.UnitGuessed && h.Unit == "" {
		add("unitGuessed", "says that the unit was guessed, but there is none; give it as unit", "")
	}
	if h.Observer != "" && h.Measurement == "" {
		add("observer", "belongs to a measurement; use it with the key measurement", "")
	}
	if h.Side != "" && h.Measurement == "" {
		add("side", "belongs to a measurement; use it with the key measurement", "")
	}
	if h.Angle != "" && axisOf(h.Term) == "" {
		add("angle", "belongs to a latitude or longitude; remove it here", "")
	}
	if axis := axisOf(h.Term); h.Compass != "" && !strings.Contains(axis, h.Compass) {
		add("compass", fmt.Sprintf("found %q; use N or S with a latitude and E or W with a longitude, and nowhere else", h.Compass), "")
	}
	check := func(key, word string, f func(string) (bool, string), what string) {
		if word == "" || f == nil {
			return
		}
		if ok, nearest := f(word); !ok {
			add(key, fmt.Sprintf("found %q, which is not %s", word, what), nearest)
		}
	}
	check("term", h.Term, known.Term, "a current Darwin Core term")
	check("measurement", h.Measurement, known.Measurement, "in the measurement vocabulary (spadefoot help measurements lists it); one of your own goes under measurements in survey.yaml")
	check("unit", h.Unit, known.Unit, "a unit code known here (UCUM, for example mm or g)")
	if h.Instrument != "" && !slices.Contains(known.Instruments, h.Instrument) {
		ms = append(ms, config.Mistake{File: doc.File, Line: doc.Line(path + ".instrument"), Path: path + ".instrument",
			Problem: fmt.Sprintf("found %q, which is not among the survey's instruments", h.Instrument),
			Allowed: known.Instruments, Nearest: config.Nearest(h.Instrument, known.Instruments)})
	}
	if h.Heading != "" {
		h.names = append(h.names, Fold(h.Heading))
	}
	for _, a := range h.Also {
		h.names = append(h.names, Fold(a))
	}
	return ms
}

func (m *Mapping) keyMistakes(doc *config.Document, known Known) config.Mistakes {
	var ms config.Mistakes
	for _, l := range []struct {
		name  string
		terms []string
	}{{"key", m.Key}, {"session", m.Session}, {"marks", m.Marks}} {
		for i, term := range l.terms {
			if known.Term == nil {
				continue
			}
			if ok, nearest := known.Term(term); !ok {
				p := fmt.Sprintf("%s.%d", l.name, i)
				ms = append(ms, config.Mistake{File: doc.File, Line: doc.Line(p), Path: p,
					Problem: fmt.Sprintf("found %q, which is not a current Darwin Core term", term), Nearest: nearest})
			}
		}
	}
	return ms
}

// repeated finds a name that two headings of the mapping claim.
func (m *Mapping) repeated(doc *config.Document) config.Mistakes {
	var ms config.Mistakes
	seen := map[string]int{}
	for i, h := range m.Headings {
		for _, n := range h.names {
			if j, ok := seen[n]; ok && j != i {
				p := fmt.Sprintf("headings.%d", i)
				ms = append(ms, config.Mistake{File: doc.File, Line: doc.Line(p), Path: p,
					Problem: fmt.Sprintf("uses the heading %q, which headings.%d (line %d) already uses", n, j, doc.Line(fmt.Sprintf("headings.%d", j)))})
			}
			seen[n] = i
		}
	}
	return ms
}

// Fold reduces a heading to its letters and digits, in lower case, words
// parted by single blanks, so that "Field No." and "field_no" are the same.
func Fold(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(s) {
		switch {
		case isWord(r):
			if gap && b.Len() > 0 {
				b.WriteByte(' ')
			}
			gap = false
			b.WriteRune(r)
		default:
			gap = true
		}
	}
	return b.String()
}

func isWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) || strings.ContainsRune("°%#♂♀µ", r)
}
