//go:build !unix

package main

// ofProcess is 0: these systems have no bound of a process that could be asked.
func ofProcess() (uint64, error) { return 0, nil }
