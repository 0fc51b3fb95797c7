package quality

import (
	"net/url"
	"strings"
	"unicode"
	"unicode/utf8"
)

// nameTests look at scientific names and their identifiers without a list of
// names.
var nameTests = map[string]answer{
	"VALIDATION_POLYNOMIAL_CONSISTENT":     polynomialConsistent,
	"VALIDATION_SCIENTIFICNAMEID_COMPLETE": nameIDComplete,
}

func polynomialConsistent(r Record, _ Params) Response {
	if !r.has("scientificName") {
		return internal("scientificName is empty")
	}
	generic, specific, infra := r("genericName"), r("specificEpithet"), r("infraspecificEpithet")
	if Empty(generic) && Empty(specific) && Empty(infra) {
		return internal("genericName, specificEpithet and infraspecificEpithet are empty")
	}
	name := parseName(r("scientificName"))
	for _, part := range []struct{ term, given, found string }{
		{"genericName", generic, name.genus},
		{"specificEpithet", specific, name.species},
		{"infraspecificEpithet", infra, name.infraspecies},
	} {
		if !Empty(part.given) && trim(part.given) != part.found {
			return notCompliant("%s %q is not that of scientificName (%q)", part.term, part.given, part.found)
		}
	}
	return compliant("scientificName agrees with the parts that are given")
}

// nameParts are the words of a scientific name without marks and authors.
type nameParts struct{ genus, species, infraspecies string }

var (
	rankMarks = wordSet(`subsp ssp subspecies var varietas subvar f fo forma form subf subforma
		morph ab natio proles convar nothosubsp nothovar nothof pv bv st`)
	doubtMarks  = wordSet(`cf aff nr near sp spp ? × x`)
	authorWords = wordSet(`de del della der den des di do dos du da el et ex and in la le les
		van von vom zu zur ter ten filius fil bis auct non nec sensu emend y e & und i d`)
)

func wordSet(words string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(words) {
		set[w] = true
	}
	return set
}

// parseName takes a name apart. The first word is the genus; the first epithet
// after it, past a subgenus in brackets and marks of doubt, the species. A
// later epithet counts where it follows a rank mark, or is right behind
// another epithet, before any author; the last one is the infraspecific.
func parseName(text string) nameParts {
	var n nameParts
	marked, authors := false, false
	for i, word := range strings.Fields(text) {
		mark := strings.ToLower(strings.TrimRight(word, "."))
		switch {
		case n.genus == "" && i <= 1 && (word == "×" || word == "x"):
		case n.genus == "":
			n.genus = strings.TrimPrefix(word, "×")
		case rankMarks[mark] && n.species != "" && (strings.HasSuffix(word, ".") || !authors):
			marked = true
		case doubtMarks[mark]:
		case n.species == "" && strings.HasPrefix(word, "("): // subgenus
		case !isEpithet(word) || authorWords[word]:
			authors = authors || n.species != ""
			marked = false
		case n.species == "":
			n.species = strings.TrimPrefix(word, "×")
		case marked || !authors:
			n.infraspecies = strings.TrimPrefix(word, "×")
			marked = false
		}
	}
	return n
}

// isEpithet reports whether a word is all small letters, hyphens allowed.
func isEpithet(word string) bool {
	word = strings.TrimPrefix(word, "×")
	if r, _ := utf8.DecodeRuneInString(word); !unicode.IsLower(r) {
		return false
	}
	for _, r := range word {
		if !unicode.IsLower(r) && r != '-' {
			return false
		}
	}
	return true
}

// nameIDComplete asks for an identifier that says by itself whose it is.
func nameIDComplete(r Record, _ Params) Response {
	id := r("scientificNameID")
	if Empty(id) {
		return internal("scientificNameID is empty")
	}
	scheme, rest, ok := strings.Cut(id, ":")
	switch {
	case strings.ContainsFunc(id, unicode.IsSpace) || !ok || !isScheme(scheme) || rest == "":
		return notCompliant("scientificNameID has no scope, or no value after it")
	case strings.EqualFold(scheme, "urn"):
		return judged(isURN(rest), "scientificNameID is a URN", "scientificNameID is a URN without namespace or name")
	case strings.HasPrefix(rest, "//"):
		u, err := url.Parse(id)
		return judged(err == nil && u.Hostname() != "" && strings.Trim(u.Path, "/") != "",
			"scientificNameID is a URI with host and path", "scientificNameID is a URI without host or path")
	case strings.EqualFold(scheme, "http") || strings.EqualFold(scheme, "https"):
		return notCompliant("scientificNameID is a URI without a host")
	}
	return compliant("scientificNameID has a scope and a value")
}

// isScheme follows RFC 3986 section 3.1.
func isScheme(s string) bool {
	for i := 0; i < len(s); i++ {
		c := s[i] | 0x20
		letter := c >= 'a' && c <= 'z'
		other := s[i] >= '0' && s[i] <= '9' || s[i] == '+' || s[i] == '-' || s[i] == '.'
		if !letter && (i == 0 || !other) {
			return false
		}
	}
	return s != ""
}

// isURN checks what follows "urn:": a namespace of 2 to 32 letters, digits and
// inner hyphens, a colon, and a name (RFC 8141 section 2). An LSID has an
// authority, a namespace and an object behind "lsid:".
func isURN(rest string) bool {
	nid, nss, ok := strings.Cut(rest, ":")
	if !ok || nss == "" || len(nid) < 2 || len(nid) > 32 || nid[0] == '-' || nid[len(nid)-1] == '-' {
		return false
	}
	for i := 0; i < len(nid); i++ {
		c := nid[i] | 0x20
		if (c < 'a' || c > 'z') && (nid[i] < '0' || nid[i] > '9') && nid[i] != '-' {
			return false
		}
	}
	if strings.EqualFold(nid, "lsid") {
		parts := strings.Split(nss, ":")
		if len(parts) < 3 || len(parts) > 4 {
			return false
		}
		for _, part := range parts {
			if part == "" {
				return false
			}
		}
	}
	return true
}
