// Package output is the disk that a run works on: the files that it reads, as
// they were when it read them, and the folder that it releases its own into, all
// or nothing.
//
// Prepare takes an output folder for one run alone (lock.go) and makes a folder
// in it to prepare files in. Commit exchanges what is prepared for what stood
// there before (exchange.go); a run that is killed, wherever it is, leaves a
// folder that the next one puts right. Discard ends a run, and says of a full
// disk how far it came (full.go). Inputs notes what is read, and tells what
// changed since. NewFolder makes a folder that must not be there yet.
package output
