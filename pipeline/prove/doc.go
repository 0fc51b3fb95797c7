// Package prove checks a Darwin Core Archive against the published standard:
// our own before it is released, and anyone's on request.
//
// Path takes a folder, a zip, or one text file whose headings are terms. It
// checks the container (files that point outside it, links, zip bombs and
// duplicate names are refused with a *HostileError), meta.xml against the text
// guide, eml.xml against the order of its schema, and then every row: encoding,
// separators and line endings as declared, identifiers present and unique, rows
// of an extension that refer to a row of the core, values of the right type, in
// range and in their lists.
//
// A finding names the file, the line (as Row) and the column, and in Reference
// the section of the guide. A fault in many rows is listed for the first of
// them and counted for the rest, so memory stays bounded.
//
// Tables are cut into blocks of whole rows, which are checked as bytes on all
// processors and taken in order. A malformed table, or one whose rows somebody
// looks at, is read sequentially. Both find the same. References to the core
// mostly follow its order and are found by reading the two side by side; other
// identifiers are sorted and merged. Identifiers beyond Options.InMemory are in
// temporary files in Options.TempDir: 40 bytes for a row of a core with
// extensions, 24 for each row of an extension that was not found side by side.
//
// Archive is the check before release: it is stricter, compares the counts with
// what was put in, and fails on any finding at level error.
//
// The order of the work, and of the files: container, metafile (first a tree of
// elements, then the sections of the guide), columns, text, rows and blocks,
// the judge and its values, identifiers, metadata.
package prove
