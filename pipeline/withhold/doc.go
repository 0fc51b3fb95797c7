// Package withhold hides the places of sensitive animals. It stands between
// infer and standardise: what judged the captures knew where they were made;
// whatever is written from here on does not.
//
// sensitive.csv names taxa and, for each, a grid in degrees. A capture of such
// a taxon, or one that may be of it because its name is coarse, misspelled or
// unread, keeps only the terms of schemas/terms_without_place.csv: a list of
// what is safe, so that a term nobody thought of is hidden rather than shown.
// Its coordinates become the middle of a cell of the grid, its locality the
// region or the survey's own wording, its session one made from those. Even of
// the safe terms a text that names the place goes. Cells of the tables and
// texts of findings are hidden with it.
//
// Hide returns what was hidden, for the one file that may hold it, and a
// Guard that looks through everything written afterwards for a place that
// stands nowhere but with hidden captures. The package changes captures and
// tables in memory and reads and writes no files.
package withhold
