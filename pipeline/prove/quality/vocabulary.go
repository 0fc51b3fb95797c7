package quality

import "strings"

// vocabularyTests ask whether a value is in a vocabulary, or bring it there.
var vocabularyTests = map[string]answer{
	"VALIDATION_BASISOFRECORD_STANDARD":         inVocabulary("basisOfRecord"),
	"VALIDATION_DCTYPE_STANDARD":                inVocabulary("type"),
	"VALIDATION_DEGREEOFESTABLISHMENT_STANDARD": inVocabulary("degreeOfEstablishment"),
	"VALIDATION_ESTABLISHMENTMEANS_STANDARD":    inVocabulary("establishmentMeans"),
	"VALIDATION_KINGDOM_FOUND":                  inVocabulary("kingdom"),
	"VALIDATION_OCCURRENCESTATUS_STANDARD":      inVocabulary("occurrenceStatus"),
	"VALIDATION_PATHWAY_STANDARD":               inVocabulary("pathway"),
	"VALIDATION_SEX_STANDARD":                   inVocabulary("sex"),
	"VALIDATION_TAXONRANK_STANDARD":             inVocabulary("taxonRank"),
	"VALIDATION_TYPESTATUS_STANDARD":            typeStatusStandard,

	"AMENDMENT_BASISOFRECORD_STANDARDIZED":         toVocabulary("dwc:basisOfRecord"),
	"AMENDMENT_DCTYPE_STANDARDIZED":                toVocabulary("dc:type"),
	"AMENDMENT_DEGREEOFESTABLISHMENT_STANDARDIZED": toVocabulary("dwc:degreeOfEstablishment"),
	"AMENDMENT_ESTABLISHMENTMEANS_STANDARDIZED":    toVocabulary("dwc:establishmentMeans"),
	"AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT":    assumeOccurrenceStatus,
	"AMENDMENT_OCCURRENCESTATUS_STANDARDIZED":      toVocabulary("dwc:occurrenceStatus"),
	"AMENDMENT_PATHWAY_STANDARDIZED":               toVocabulary("dwc:pathway"),
	"AMENDMENT_SEX_STANDARDIZED":                   toVocabulary("dwc:sex"),
	"AMENDMENT_TAXONRANK_STANDARDIZED":             toVocabulary("dwc:taxonRank"),
	"AMENDMENT_TYPESTATUS_STANDARDIZED":            standardiseTypeStatus,
}

// inVocabulary compares exactly: case and white space count.
func inVocabulary(term string) answer {
	return func(r Record, _ Params) Response {
		switch v := r(term); {
		case Empty(v):
			return internal("%s is empty", term)
		case vocabularies()[term].holds(v):
			return compliant("%s is a value of the vocabulary", term)
		default:
			return notCompliant("%s %q is not a value of the vocabulary", term, v)
		}
	}
}

// toVocabulary proposes the one value that the text can mean.
func toVocabulary(prefixed string) answer {
	term := bare(prefixed)
	of := func() *vocabulary { return vocabularies()[term] }
	return standardised(prefixed, func(v string) bool { return of().holds(v) }, func(v string) string { return of().meaning(v) },
		"a value of the vocabulary", "value of the vocabulary")
}

// assumeOccurrenceStatus fills in the default where nothing was counted.
func assumeOccurrenceStatus(r Record, p Params) Response {
	if r.has("occurrenceStatus") {
		return internal("occurrenceStatus holds a value")
	}
	if r.has("individualCount") || r.has("organismQuantity") {
		return notAmended("a count or quantity is given, which may mean absent")
	}
	status := p.value("defaultOccurrenceStatus")
	return proposal(FilledIn, map[string]string{"dwc:occurrenceStatus": status},
		"occurrenceStatus is empty; %s is assumed", status)
}

// typeStatusParts cuts "holotype of A | paratype of B" into its portions, each
// into the leading word and the rest. Joined again the parts give the text.
func typeStatusParts(text string) (words, before, after []string) {
	for _, portion := range strings.Split(text, "|") {
		rest := strings.TrimLeft(portion, " \t")
		lead := portion[:len(portion)-len(rest)]
		word := rest
		if i := strings.IndexAny(rest, " \t:,;"); i >= 0 {
			word = rest[:i]
		}
		words = append(words, word)
		before = append(before, lead)
		after = append(after, rest[len(word):])
	}
	return words, before, after
}

func typeStatusStandard(r Record, _ Params) Response {
	text := r("typeStatus")
	if Empty(text) {
		return internal("typeStatus is empty")
	}
	if strings.TrimSpace(text) != text || trim(text) != text {
		return notCompliant("typeStatus has white space around it")
	}
	words, _, _ := typeStatusParts(text)
	for _, word := range words {
		if !vocabularies()["typeStatus"].holds(word) {
			return notCompliant("%q is not a type status of the vocabulary", word)
		}
	}
	return compliant("every portion of typeStatus begins with a value of the vocabulary")
}

func standardiseTypeStatus(r Record, _ Params) Response {
	text := r("typeStatus")
	if Empty(text) {
		return internal("typeStatus is empty")
	}
	words, before, after := typeStatusParts(trim(text))
	for i, word := range words {
		meant := vocabularies()["typeStatus"].meaning(word)
		if meant == "" {
			return notAmended("%q cannot be read as one type status", word)
		}
		words[i] = before[i] + meant + after[i]
	}
	changed := strings.Join(words, "|")
	if changed == text {
		return notAmended("typeStatus is already written as in the vocabulary")
	}
	return proposal(Amended, map[string]string{"dwc:typeStatus": changed}, "typeStatus %q is read as %q", text, changed)
}
