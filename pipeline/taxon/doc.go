// Package taxon reads what stands under Species and settles it against the
// checklist of the survey.
//
// A [Checklist] is a CSV file with one row per name: accepted names, synonyms
// that point at them (acceptedNameUsage), vernacular names and the codes that
// the team writes. [Checklist.Match] takes a text such as "L. cf. pipiens",
// "wood frog", "LICL" or "Adelie Penguin (Pygoscelis adeliae)" and returns the
// name to publish, its rank and classification, the qualifier, and the way that
// led there. Without a checklist the text is only parsed.
//
// A name is published at the rank that is certain, as dwc:scientificName asks:
// "Lithobates cf. pipiens" gives Lithobates with "cf. pipiens" in
// identificationQualifier. What cannot be settled stays as written: a name that
// reads as one is published with a warning, anything else only as
// verbatimIdentification. A near spelling is a suggestion and is never put in
// place of what was written; an abbreviated genus, a vernacular name or a code
// counts only where the checklist leaves one reading.
//
// doc.go, name.go and parse.go read names; checklist.go and index.go the
// checklist; match.go, doubt.go and near.go bring them together.
package taxon
