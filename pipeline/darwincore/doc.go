// Package darwincore standardises: it turns captures into the rows and files
// of a Darwin Core Archive.
//
// A RowBuilder makes the one row of the core and those of the MeasurementOrFact
// extension joined to it by occurrenceID; where rows of many captures are made,
// a RowWriter of it makes them. An Archive takes captures part by
// part and writes occurrence.csv, measurementorfact.csv, media.csv where there
// are photographs or recordings, meta.xml, eml.xml and darwin-core.zip; memory
// does not grow with the number of captures. Each file is written once, and
// deflated on the way in blocks of fixed size, where its columns were gathered
// beforehand (Columns, Archive.Expect) or are those of the first part. A
// Package writes the same captures as a Darwin Core Data Package.
//
// Identifiers are UUIDs of version 5 (RFC 9562) over the dataset's identifier
// and the capture's key, so that they stay when rows move; a measurement has
// that of its occurrence with its own name behind it. The same captures
// give the same bytes: no clock, fixed times in the zip, columns in the order
// of the table of terms, only columns that hold something.
//
// Nothing that was written is lost. A value that reads otherwise than the cell
// goes beside its verbatim term where Darwin Core has one and else into
// dynamicProperties; a measurement carries the text of its cell in
// measurementRemarks. A measurement that is not a single number ("<0.5",
// ">60", "40-42") is published in just these three forms, so that nobody who
// reads numbers takes it for one; a reading that was not taken is left out.
package darwincore
