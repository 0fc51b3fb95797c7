// Package output is the disk that a run works on: the files that it reads, as
// they were when it read them, and the folder to which it releases its own, all
// or nothing.
//
// Prepare takes an output folder for one run only (lock.go) and makes a folder
// in it to prepare files in. Commit exchanges the earlier files for the
// prepared ones (exchange.go); if a run is killed at any point, the next one
// repairs the folder. Discard ends a run and, if the disk is full, says how far
// it got (full.go). Inputs records what is read and reports what has changed
// since. NewFolder makes a folder that must not exist yet.
package output
