// Package tables holds what the Darwin Core Data Package defines for its
// tables: fields with their types and bounds, keys, and reserved names.
//
// The facts are in schemas/data_package_fields.csv and data_package_keys.csv,
// which schemas/generate makes from the published table schemas. The stage that
// writes a package and the one that proves it both read them here, so they
// cannot differ.
package tables
