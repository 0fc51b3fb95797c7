// Package darwincore standardises: it turns captures into the rows and files of
// a Darwin Core Archive.
//
// A RowBuilder makes the core row of a capture and its rows of the
// MeasurementOrFact extension, joined by occurrenceID; a RowWriter does so for
// many captures. An Archive takes captures part by part and writes
// occurrence.csv, measurementorfact.csv, media.csv if there are photographs or
// recordings, meta.xml, eml.xml and darwin-core.zip. Its memory does not grow
// with the number of captures. Each file is written once, and compressed on the
// way in blocks of fixed size, if its columns were gathered beforehand
// (Columns, Archive.Expect) or are those of the first part. A Package writes
// the same captures as a Darwin Core Data Package.
//
// Identifiers are version 5 UUIDs (RFC 9562) made from the dataset's identifier
// and the capture's key, so they stay the same when rows move. A measurement
// has the identifier of its occurrence followed by its name. The same captures
// give the same bytes: no clock, fixed times in the zip, columns in the order
// of the table of terms, only columns that are not empty.
//
// No text is lost. A value that differs from its cell is published beside its
// verbatim term if Darwin Core has one, otherwise with the text in
// dynamicProperties. A measurement has the text of its cell in
// measurementRemarks. A measurement that is not a single number ("<0.5", ">60",
// "40-42") is published in exactly these three forms, so nobody mistakes it for
// a number. A missing reading is left out.
package darwincore
