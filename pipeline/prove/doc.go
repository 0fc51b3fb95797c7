// Package prove checks a Darwin Core Archive against the published standard:
// our own before it is released, and anyone's on request.
//
// Path takes a folder, a zip, or one text file whose headings are terms. It
// checks the container (nothing may point outside it, links, bombs and names
// that stand twice are refused with a *HostileError), meta.xml against the
// text guide, eml.xml against the order of its schema, and then every row:
// encoding, separators and line ends as declared, identifiers present and
// unique, rows of an extension pointing at a row of the core, values of the
// right type, in range and in their lists.
//
// A finding names the file, the line (as Row) and the column, and in Reference
// the section of the guide. A fault that stands in many rows is listed for the
// first of them and counted for the rest, so that memory stays bounded.
//
// Tables are cut into blocks of whole rows, which are judged on their bytes on
// all processors and taken in order; a table of unsound shape, or one whose
// rows somebody looks at, is read in turn. Both find the same. What points at
// the core mostly follows its order and is found by walking beside it; other
// identifiers are sorted and merged. Identifiers beyond Options.InMemory are
// in temporary files in Options.TempDir: 40 bytes for a row of a core with
// extensions, 24 for each row of an extension that was not found beside it.
//
// Archive is the check before release: it is stricter, compares the counts
// with what was put in, and fails if anything at level error is found.
//
// The order of the work, and of the files: container, metafile (a tree of
// elements first, then the sections of the guide), columns, text, rows and
// blocks, the judge and its values, identifiers, metadata.
package prove
