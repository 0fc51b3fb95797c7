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
// first of them and counted for the rest, so that memory stays bounded;
// identifiers are compared through sorted runs on disk.
//
// Archive is the check before release: it is stricter, compares the counts
// with what was put in, and fails if anything at level error is found.
//
// The order of the work, and of the files: container, metafile (a tree of
// elements first, then the sections of the guide), columns, rows, values,
// identifiers, metadata.
package prove
