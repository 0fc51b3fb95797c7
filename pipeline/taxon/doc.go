// Package taxon reads the text under Species and matches it against the
// survey's checklist.
//
// A [Checklist] is a CSV file with one row per name: accepted names, synonyms
// that refer to them (acceptedNameUsage), vernacular names and the codes that
// the team writes. [Checklist.Match] takes a text such as "L. cf. pipiens",
// "wood frog", "LICL" or "Adelie Penguin (Pygoscelis adeliae)" and returns the
// name to publish, its rank and classification, the qualifier, and how it was
// found. Without a checklist the text is only parsed.
//
// A name is published at the rank that is certain, as dwc:scientificName asks:
// "Lithobates cf. pipiens" gives Lithobates with "cf. pipiens" in
// identificationQualifier. What cannot be settled stays as written: a text that
// looks like a name is published with a warning, anything else only as
// verbatimIdentification. A similar spelling is only a suggestion and never
// replaces the text. An abbreviated genus, a vernacular name or a code is
// accepted only if the checklist allows exactly one reading.
//
// doc.go, name.go and parse.go read names; checklist.go and index.go the
// checklist; match.go, doubt.go and near.go combine them.
package taxon
