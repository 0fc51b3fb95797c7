//go:build unix

package main

import "golang.org/x/sys/unix"

// ofProcess is the most address space that the process may take; 0 for no
// bound.
func ofProcess() (uint64, error) {
	var limit unix.Rlimit
	if err := unix.Getrlimit(unix.RLIMIT_AS, &limit); err != nil || limit.Cur == unix.RLIM_INFINITY {
		return 0, err
	}
	return uint64(limit.Cur), nil
}
