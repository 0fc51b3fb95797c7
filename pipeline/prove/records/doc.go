// Package records gives what a container says about each thing as records for
// the quality tests, the same from an archive as from a data package of the
// same captures.
//
// In an archive, every row of the core is a record, and so is every occurrence
// in an extension, together with its row of the core and the events around
// that. In a data package, every occurrence is a record, together with its
// identification, the material kept of it, its organism, its assertions in
// Darwin Core terms, and the events around it.
//
// The nearer source wins: the occurrence's own row, then the tables that refer
// to it, then its event, then the events around that. Terms that belong
// together (the coordinates and their datum, say) are taken from a more distant
// event only if they contradict nothing nearer.
package records
