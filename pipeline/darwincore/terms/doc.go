// Package terms is the table of Darwin Core terms and of their controlled
// values, for every stage that has to know whether a word is a term.
//
// A term is looked up by its bare name (eventDate), with a prefix
// (dwc:eventDate, dcterms:license) or by its address. Only the terms that take
// literal values are found by bare name; those of the dwciri namespace need
// their prefix or address. Names are matched exactly as the standard spells
// them; Nearest suggests the spelling that was probably meant.
//
// The order of All is the order in which columns are published: the record,
// the occurrence, the organism, the event, the location, the identification,
// the taxon, then the rest.
//
// The tables stand in schemas/ and are drawn from the published list of term
// versions by schemas/generate. The package reads them once and changes
// nothing; its values may be used from many goroutines.
package terms
