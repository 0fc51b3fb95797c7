// Package desk is the pages that a team works on in a browser, on its own
// machine, over a survey folder. It stands around the way as cmd does: it asks
// pipeline, and no room knows of it.
//
// A Desk is an http.Handler. It opens files only below the survey folder and
// below the folder beside it that a run writes to. Everything that it does is a
// file that the command line reads and writes too: mappings, remedies.csv,
// sheets that were typed in. It keeps nothing but the survey as it was last
// walked, and walks it again when a file in the folder changes. It opens no
// socket and starts no browser, and what day it is the caller says.
//
// Each page has a file of its own and is listed in pages.go. The words and the
// colours are those of the report.
package desk
