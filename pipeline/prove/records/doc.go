// Package records gives what a container says of each thing that it is about,
// as records for the quality tests, the same from an archive and from a data
// package of the same captures.
//
// Of an archive every row of the core is a record, and so is every occurrence
// in an extension, with what its row of the core and the events around that say
// of it. Of a data package every occurrence is a record, with its
// identification, the material kept of it, its organism, what is asserted of
// it in terms of Darwin Core, and the events around it.
//
// The nearer wins: the occurrence's own row, then the tables that point at it,
// then its event, then the events around that. Terms that make one statement
// together (the coordinates and their datum, say) are taken from a farther
// event only where they contradict nothing that is nearer.
package records
