// Package withhold hides the places of sensitive animals. It comes between
// infer and standardise: what judged the captures knew their places; whatever
// is written from here on does not.
//
// sensitive.csv names taxa and, for each, a grid in degrees. A capture of such
// a taxon, or one that may belong to it because its name is coarse, misspelled
// or unread, keeps only the terms of schemas/terms_without_place.csv. That is
// an allow list, so a term nobody thought of is hidden rather than shown. Its
// coordinates become the middle of a grid cell, its locality the region or the
// survey's own wording, its session one made from those. Even in the allowed
// terms, a text that names the place is removed. Cells of the tables and texts
// of findings are hidden with it.
//
// Hide returns what was hidden, for the one file that may hold it, and a Guard
// that searches everything written afterwards for a place that occurs only with
// hidden captures. The package changes captures and tables in memory and reads
// and writes no files.
package withhold
