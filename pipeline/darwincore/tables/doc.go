// Package tables is what the Darwin Core Data Package says of its tables:
// fields with their types and bounds, keys, and the names that are reserved.
//
// The facts stand in schemas/data_package_fields.csv and data_package_keys.csv
// and are drawn from the published table schemas by schemas/generate. The
// stage that writes a package and the one that proves it both read them here,
// so that they cannot differ.
package tables
