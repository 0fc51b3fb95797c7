package quality

import (
	"cmp"
	"slices"
	"strings"
)

// taxonTests ask a list of names.
var taxonTests = map[string]answer{
	"AMENDMENT_SCIENTIFICNAMEID_FROM_TAXON":          fillNameID,
	"AMENDMENT_SCIENTIFICNAME_FROM_SCIENTIFICNAMEID": fillName,
	"VALIDATION_CLASSIFICATION_CONSISTENT":           classificationConsistent,
	"VALIDATION_CLASS_FOUND":                         foundAtRank("class"),
	"VALIDATION_FAMILY_FOUND":                        foundAtRank("family"),
	"VALIDATION_GENUS_FOUND":                         foundAtRank("genus"),
	"VALIDATION_ORDER_FOUND":                         foundAtRank("order"),
	"VALIDATION_PHYLUM_FOUND":                        foundAtRank("phylum"),
	"VALIDATION_SCIENTIFICNAME_FOUND":                nameFound,
	"VALIDATION_TAXON_UNAMBIGUOUS":                   taxonUnambiguous,
}

// taxa returns the list that a test has to ask; or nil and the answer, where there
// is none or the record does not meet what the test requires.
func (p Params) taxa(unmet string) (*Taxa, Response) {
	list, missing := p.Sources.Taxa[""], without("--taxa", "a list of names")
	if !p.authority() {
		list, missing = p.Sources.Taxa[strings.TrimSpace(p.Set["sourceAuthority"])], p.noAuthority()
		if list == nil {
			return nil, missing
		}
	}
	if unmet != "" {
		return nil, Response{Status: Internal, Comment: unmet}
	}
	return list, missing
}

func unless(met bool, why string) string {
	if met {
		return ""
	}
	return why
}

func foundAtRank(rank string) answer {
	return func(r Record, p Params) Response {
		t, missing := p.taxa(unless(r.has(rank), rank+" is empty"))
		if t == nil {
			return missing
		}
		return judged(len(t.ranked[rank][r(rank)]) > 0, rank+" is a name of that rank in "+t.Name, rank+" is not a name of that rank in "+t.Name)
	}
}

func nameFound(r Record, p Params) Response {
	t, missing := p.taxa(unless(r.has("scientificName"), "scientificName is empty"))
	if t == nil {
		return missing
	}
	return judged(len(t.matches(r("scientificName"), "")) > 0, "scientificName is in "+t.Name, "scientificName is not in "+t.Name)
}

// nameTerms are those that can name a taxon by themselves.
var nameTerms = strings.Fields("scientificName genericName specificEpithet infraspecificEpithet scientificNameAuthorship cultivarEpithet")

// resolve returns the taxa that a record can mean, narrowed by its
// classification and identifiers where there are several.
func (t *Taxa) resolve(r Record) []*taxon {
	name := r("scientificName")
	if Empty(name) {
		name = oneSpaced(strings.Join([]string{r("genericName"), r("specificEpithet"), r("infraspecificEpithet"), r("cultivarEpithet")}, " "))
		if found := t.byName[name]; r.has("cultivarEpithet") && len(found) > 0 {
			return found
		}
	}
	found := t.matches(name, r("scientificNameAuthorship"))
	if len(found) < 2 {
		return found
	}
	found = t.agreeing(found, r)
	for _, term := range []string{"taxonID", "taxonConceptID", "acceptedNameUsageID", "originalNameUsageID"} {
		if !r.has(term) {
			continue
		}
		if same := slices.DeleteFunc(slices.Clone(found), func(x *taxon) bool { return x.id != trim(r(term)) }); len(same) == 1 {
			return same
		}
	}
	if rank := strings.ToLower(trim(r("taxonRank"))); len(found) > 1 && rank != "" {
		found = slices.DeleteFunc(found, func(x *taxon) bool { return x.rank != "" && x.rank != rank })
	}
	return found
}

func taxonUnambiguous(r Record, p Params) Response {
	t, missing := p.taxa(unless(r.has("scientificNameID") || slices.ContainsFunc(nameTerms, r.has),
		"scientificName, scientificNameID and every part of a name are empty"))
	switch {
	case t == nil:
		return missing
	case r.has("scientificNameID"):
		return judged(len(t.byID[trim(r("scientificNameID"))]) == 1, "scientificNameID is that of one taxon in "+t.Name, "scientificNameID is not that of one taxon in "+t.Name)
	}
	switch found := t.resolve(r); len(found) {
	case 0:
		return notCompliant("the name matches no taxon in %s", t.Name)
	case 1:
		return compliant("the name matches one taxon in %s", t.Name)
	default:
		return notCompliant("the name matches %d taxa in %s, and nothing else tells them apart", len(found), t.Name)
	}
}

func fillNameID(r Record, p Params) Response {
	t, missing := p.taxa(cmp.Or(unless(!r.has("scientificNameID"), "scientificNameID holds a value"),
		unless(slices.ContainsFunc(nameTerms, r.has), "scientificName and every part of a name are empty")))
	if t == nil {
		return missing
	}
	found := t.resolve(r)
	if len(found) != 1 {
		return notAmended("the name matches %d taxa in %s", len(found), t.Name)
	}
	id := cmp.Or(found[0].nameID, found[0].id)
	if id == "" {
		return notAmended("%s has no identifier for the name", t.Name)
	}
	return proposal(FilledIn, map[string]string{"dwc:scientificNameID": id}, "the name matches one taxon in %s", t.Name)
}

func fillName(r Record, p Params) Response {
	t, missing := p.taxa(cmp.Or(unless(r.has("scientificNameID"), "scientificNameID is empty"),
		unless(!r.has("scientificName"), "scientificName holds a value")))
	if t == nil {
		return missing
	}
	x := t.one(trim(r("scientificNameID")))
	if x == nil {
		return notAmended("scientificNameID is not that of one taxon in %s", t.Name)
	}
	return proposal(FilledIn, map[string]string{"dwc:scientificName": oneSpaced(x.name + " " + x.author)}, "scientificNameID is that of one taxon in %s", t.Name)
}

// classificationConsistent holds the names above the lowest that is known
// against the classification of that one.
func classificationConsistent(r Record, p Params) Response {
	t, missing := p.taxa(unless(slices.ContainsFunc(classification, r.has), "every term of the classification is empty"))
	if t == nil {
		return missing
	}
	for i := len(classification) - 1; i >= 0; i-- {
		rank := classification[i]
		known := t.ranked[rank][t.acceptedAt(rank, trim(r(rank)))]
		if len(known) == 0 {
			continue
		}
		agrees := slices.ContainsFunc(known, func(x *taxon) bool { return t.agrees(x, r, classification[:i]) })
		return judged(agrees, "the names above "+rank+" are those of "+t.Name, "the names above "+rank+" are not those of "+t.Name)
	}
	return notCompliant("no name of the classification is in %s", t.Name)
}
