// Command generate writes the tables of facts that are drawn from the
// published standards beside the repository:
//
//	go run ./schemas/generate -shared ../shared
//
// It writes darwin_core_terms.csv: one row per Darwin Core term, in the order
// in which columns are published, with the latest status of the term and the
// term that replaced it. Names, addresses, dates and codes are taken over;
// definitions and comments are not. It also writes darwin_core_values.csv (the
// values of controlled terms), xml_models.json (order, number and types of the
// elements of eml.xml and meta.xml), and data_package_fields.csv and
// data_package_keys.csv (the tables of the Darwin Core Data Package).
//
// A test runs the generator again and compares bytes, so that the table can
// only be changed through the standard.
package main
