// Package desk serves the pages that a team works on in a browser, on its own
// machine, for a survey folder. Like cmd it calls pipeline, and no other room
// knows about it.
//
// A Desk is an http.Handler. It opens only files below the survey folder, and
// below the folder beside it that a run writes to. Everything it does ends up
// in a file that the command line also reads and writes: mappings,
// remedies.csv, typed sheets. It keeps nothing but the survey as it was last
// walked, and walks it again when a file in the folder changes. It opens no
// socket, starts no browser and reads no clock: the caller gives the date.
//
// Each page has its own file and is listed in page.go. Words and colours are
// those of the report.
package desk
