package sheet

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/saintfish/chardet"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/ianaindex"
	"golang.org/x/text/encoding/unicode"

	"spadefoot/pipeline/record/sorting"
)

// encodingOf is one encoding under its IANA name.
type encodingOf struct {
	name    string
	utf8    bool
	wide    bool // UTF-16
	charmap *charmap.Charmap
	other   encoding.Encoding
}

var (
	utf8Encoding = encodingOf{name: "UTF-8", utf8: true}
	utf16LE      = encodingOf{name: "UTF-16LE", wide: true, other: unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)}
	utf16BE      = encodingOf{name: "UTF-16BE", wide: true, other: unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)}
	utf16Any     = encodingOf{name: "UTF-16", wide: true, other: unicode.UTF16(unicode.BigEndian, unicode.UseBOM)}
)

// aliases are names that people write and the IANA register does not have.
var aliases = map[string]string{
	"mac": "macintosh", "macroman": "macintosh", "mac-roman": "macintosh", "cp437": "IBM437", "cp850": "IBM850",
	"dos": "IBM850", "ansi": "windows-1252", "cp1252": "windows-1252", "cp1250": "windows-1250", "cp1251": "windows-1251",
	"utf8": "UTF-8", "utf-8-sig": "UTF-8", "utf16": "UTF-16", "latin-1": "windows-1252",
}

// lookup finds an encoding by IANA name or alias. ISO-8859-1 is read as its
// superset windows-1252, as browsers do (WHATWG Encoding Standard).
func lookup(name string) (encodingOf, error) {
	key := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(name)), " ", "-")
	if a, ok := aliases[key]; ok {
		key = a
	}
	for _, e := range []encodingOf{utf8Encoding, utf16LE, utf16BE, utf16Any} {
		if strings.EqualFold(e.name, key) {
			return e, nil
		}
	}
	enc, err := ianaindex.IANA.Encoding(key)
	if err != nil || enc == nil || enc == charmap.ISO8859_1 {
		if enc, err = htmlindex.Get(key); err != nil {
			return encodingOf{}, fmt.Errorf("encoding %q is not known", name)
		}
	}
	canonical, err := ianaindex.IANA.Name(enc)
	if err != nil {
		canonical = name
	}
	out := encodingOf{name: canonical, other: enc}
	out.charmap, _ = enc.(*charmap.Charmap)
	if canonical == "US-ASCII" || canonical == "UTF-8" {
		return utf8Encoding, nil
	}
	return out, nil
}

// byteOrderMark returns the encoding that a byte order mark announces and the
// length of the mark, 0 for none.
func byteOrderMark(b []byte) (encodingOf, int) {
	switch {
	case bytes.HasPrefix(b, []byte("\xef\xbb\xbf")):
		return utf8Encoding, 3
	case bytes.HasPrefix(b, []byte("\xff\xfe")):
		return utf16LE, 2
	case bytes.HasPrefix(b, []byte("\xfe\xff")):
		return utf16BE, 2
	}
	return encodingOf{}, 0
}

// guess is an encoding with the evidence for it.
type guess struct {
	found      encodingOf
	certain    bool    // announced by the file, valid beyond doubt, or named
	named      bool    // in the options
	instead    string  // named, but the mark at the beginning of the file says another
	confidence float64 // 0 to 1
	runnerUp   string
	count      int    // characters that speak for or against
	sample     string // the first word that depends on the guess
}

// usual are the encodings that are tried on every sheet, likeliest first.
var usual = []encodingOf{
	{name: "windows-1252", charmap: charmap.Windows1252}, {name: "macintosh", charmap: charmap.Macintosh},
	{name: "IBM850", charmap: charmap.CodePage850}, {name: "IBM437", charmap: charmap.CodePage437},
	{name: "ISO-8859-15", charmap: charmap.ISO8859_15}, {name: "windows-1250", charmap: charmap.Windows1250},
	{name: "ISO-8859-2", charmap: charmap.ISO8859_2}, {name: "windows-1251", charmap: charmap.Windows1251},
	{name: "KOI8-R", charmap: charmap.KOI8R}, {name: "windows-1253", charmap: charmap.Windows1253},
}

// scored is an encoding and how well the bytes read in it.
type scored struct {
	encodingOf
	evidence
	score float64
}

// isBroken reports whether bytes mean nothing in an encoding of several bytes for a
// character. The last of them may be cut off.
func (s *scored) isBroken() bool {
	return s.charmap == nil && bytes.ContainsRune(bytes.TrimSuffix(s.text, []byte("\uFFFD")), utf8.RuneError)
}

// detect judges bytes that are not ASCII: UTF-8 if most of them are valid as
// such, which other text hardly ever is by chance, else the encoding in which
// they make the likeliest text. A byte that is not UTF-8 among many that are
// is met, and named, later on. before is the ASCII in front of the window.
func detect(before, window []byte) *guess {
	if good, bad := countUTF8(window); good > bad {
		return &guess{found: utf8Encoding, certain: true}
	}
	window = append(bytes.Clone(before), window...)
	second := secondOpinion(window)
	var all []scored
	for _, e := range candidates(second) {
		v := weigh(window, e)
		all = append(all, scored{e, v, v.mean() + 0.3*second[e.name]})
	}
	sorting.StableFunc(all, func(a, b scored) int { return cmp.Compare(b.score, a.score) })
	best := all[0]
	if best.isBroken() {
		if i := slices.IndexFunc(all, func(s scored) bool { return s.charmap == nil && !s.isBroken() }); i >= 0 {
			best = all[i]
		}
	}
	g := &guess{found: best.encodingOf, count: best.count, sample: best.sample}
	margin := 1.0
	for _, s := range all {
		proposed := s.charmap != nil || second[s.name] > 0
		if proposed && !s.isBroken() && !bytes.Equal(s.text, best.text) {
			margin, g.runnerUp = best.score-s.score, s.name
			break
		}
	}
	g.confidence = (0.5 + 0.49*min(1, margin)) * (1 - 0.5/float64(best.count+1))
	return g
}

// eastAsianNames are the encodings of several bytes for a letter. What is written in
// one of them often means something in another.
var eastAsianNames = []string{"GB18030", "Big5", "EUC-KR", "Shift_JIS", "Extended_UNIX_Code_Packed_Format_for_Japanese"}

// candidates returns the usual encodings and those that the second opinion
// proposes, with all of several bytes for a letter if it proposes one of them.
func candidates(second map[string]float64) []encodingOf {
	out := slices.Clone(usual)
	names := slices.Sorted(maps.Keys(second))
	if slices.ContainsFunc(names, func(n string) bool { return slices.Contains(eastAsianNames, n) }) {
		names = append(names, eastAsianNames...)
	}
	for _, n := range names {
		known := slices.ContainsFunc(out, func(e encodingOf) bool { return e.name == n })
		if e, err := lookup(n); err == nil && !known && !e.utf8 && !e.wide {
			out = append(out, e)
		}
	}
	return out
}

// minOpinion is the weight below which the second opinion is not heard.
const minOpinion = 0.3

// secondOpinion asks the statistical detector, which knows the letter
// sequences of some languages but neither Mac Roman nor the DOS code pages.
// It returns a weight of 0 to 1 by IANA name.
func secondOpinion(window []byte) map[string]float64 {
	out := map[string]float64{}
	all, err := chardet.NewTextDetector().DetectAll(window)
	if err != nil {
		return out
	}
	for _, r := range all {
		e, err := lookup(r.Charset)
		if err != nil {
			continue
		}
		if w := float64(r.Confidence) / 100; w >= minOpinion {
			out[e.name] = max(out[e.name], w)
		}
	}
	return out
}

// countUTF8 counts the sequences of more than one byte that are valid UTF-8,
// and the bytes that are not. An end cut within a sequence does not count.
func countUTF8(b []byte) (good, bad int) {
	for len(b) > 0 {
		r, size := utf8.DecodeRune(b)
		switch {
		case r == utf8.RuneError && size <= 1:
			if !utf8.FullRune(b) {
				return good, bad
			}
			bad++
		case size > 1:
			good++
		}
		b = b[size:]
	}
	return good, bad
}
