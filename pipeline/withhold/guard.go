package withhold

import (
	"bufio"
	"errors"
	"html"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Guard looks through texts for places that only hidden captures have.
// A place where other animals were caught too is public through their rows, and
// finding it somewhere reveals nothing. A nil Guard finds nothing.
type Guard struct {
	index  map[string][]trap // by first word
	back   int               // words that a phrase may reach over
	public map[string]bool   // traps that captures which are not hidden spring
	seen   map[string]bool   // texts that were looked through
}

// trap is a phrase, and for a latitude the longitude that must follow it.
type trap struct {
	words phrase
	then  phrase
	of    *secret
}

// window is how many words may be between a latitude and its longitude.
const window = 16

// follows reports whether a phrase begins within the window from a word on.
func (w *passage) follows(from int, p phrase) bool {
	for i := range window {
		if w.has(from+i, p) {
			return true
		}
	}
	return false
}

func newGuard(places []*secret) *Guard {
	g := &Guard{index: map[string][]trap{}, public: map[string]bool{}, seen: map[string]bool{}}
	seen := map[string]bool{}
	add := func(t trap) {
		k := t.key()
		if len(t.words) == 0 || seen[k] {
			return
		}
		seen[k] = true
		g.index[t.words[0]] = append(g.index[t.words[0]], t)
		g.back = max(g.back, len(t.words)+len(t.then))
	}
	for _, s := range places {
		for _, p := range s.names {
			if letters, digits := p.count(); len(p) > 1 && letters+digits >= 6 || letters >= 6 {
				add(trap{words: p, of: s})
			}
		}
		for _, p := range s.exact {
			if _, digits := p.count(); len(p) > 2 && digits >= 5 {
				add(trap{words: p, of: s})
			}
		}
		for _, p := range s.pairs {
			add(trap{words: p.lat, then: p.lon, of: s})
		}
	}
	return g
}

func (t *trap) key() string { return t.words.String() + "\x1f" + t.then.String() }

// see notes the places in a text that may be published.
func (g *Guard) see(text string) {
	if text == "" || g.seen[text] {
		return
	}
	if len(g.seen) == most {
		clear(g.seen)
	}
	g.seen[strings.Clone(text)] = true
	var w passage
	w.add(text)
	for _, t := range g.in(&w) {
		g.public[t.key()] = true
	}
}

// release notes what a capture tells that is not hidden.
func (g *Guard) release(c *record.Capture) {
	g.see(c.Get("decimalLatitude") + " " + c.Get("decimalLongitude"))
	for _, v := range c.Values {
		if v.From().Row > 0 { // what survey.yaml says of every capture opens nothing
			g.see(v.Text)
			g.see(v.Verbatim)
		}
	}
	g.see(c.Get("verbatimLatitude") + " " + c.Get("verbatimLongitude"))
	for _, text := range c.Remarks {
		g.see(text)
	}
	for _, e := range c.Extras {
		g.see(e.Text)
	}
}

// open takes out the traps for what may be published.
func (g *Guard) open() {
	for first, traps := range g.index {
		g.index[first] = slices.DeleteFunc(traps, func(t trap) bool { return g.public[t.key()] })
	}
	g.seen = nil
}

// in returns the traps that a text springs.
func (g *Guard) in(text *passage) []trap {
	var out []trap
	for i := range text.ends {
		for _, t := range g.index[string(text.at(i))] {
			if text.has(i, t.words) && (len(t.then) == 0 || text.follows(i+len(t.words), t.then)) {
				out = append(out, t)
			}
		}
	}
	return out
}

// finds reports whether a finding tells a hidden place.
func (g *Guard) finds(f *record.Finding) bool {
	if g == nil {
		return false
	}
	text := []string{f.Value, f.Reason, f.Suggestion, f.Group, f.Field}
	for _, x := range f.Figures {
		text = append(text, x.Name, strconv.FormatFloat(x.Value, 'g', -1, 64))
	}
	var w passage
	w.add(strings.Join(text, " "))
	return len(g.in(&w)) > 0
}

// Scan reads a file and returns the keys of captures whose places it tells, one of
// each place.
// The name's extension says whether characters may be written as in HTML.
func (g *Guard) Scan(name string, in io.Reader) ([]string, error) {
	if g == nil {
		return nil, nil
	}
	escaped := slices.Contains([]string{".html", ".xml", ".htm", ".svg"}, path.Ext(name))
	var out []string
	var text passage
	r := bufio.NewReaderSize(in, 1<<16)
	for {
		s, err := r.ReadString('\n')
		if escaped {
			s = html.UnescapeString(s)
		}
		text.add(s)
		if len(text.ends) > 4096 || err != nil {
			for _, t := range g.in(&text) {
				if !slices.Contains(out, t.of.of) {
					out = append(out, t.of.of)
				}
			}
			text.drop(len(text.ends) - g.back - window)
		}
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, err
		}
	}
}

// roundings are the words of a number of degrees, with every number of
// decimals from four to as many as it has, in order; just the number as it is
// where it has fewer.
func roundings(text string) []phrase {
	text = strings.TrimSpace(strings.Replace(text, ",", ".", 1))
	v, err := strconv.ParseFloat(text, 64)
	_, decimals, point := strings.Cut(text, ".")
	if err != nil || !point || len(decimals) < 3 || len(decimals) > 15 {
		return nil
	}
	out := []phrase{tokens(text)}
	for d := len(decimals) - 1; d >= 4; d-- {
		out = append(out, tokens(strconv.FormatFloat(v, 'f', d, 64)))
	}
	return out
}
