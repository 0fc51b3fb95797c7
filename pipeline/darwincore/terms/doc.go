// Package terms is the table of Darwin Core terms and their controlled values,
// for every stage that must know whether a word is a term.
//
// A term is looked up by its bare name (eventDate), with a prefix
// (dwc:eventDate, dcterms:license) or by its URI. Only terms that take literal
// values are found by bare name; those of the dwciri namespace need their
// prefix or URI. Names must match the standard's spelling exactly; Nearest
// suggests the spelling that was probably meant.
//
// The order of All is the order in which columns are published: the record, the
// occurrence, the organism, the event, the location, the identification, the
// taxon, then the rest.
//
// The tables are in schemas/, and schemas/generate makes them from the
// published list of term versions. The package reads them once and changes
// nothing; its values may be used from many goroutines.
package terms
