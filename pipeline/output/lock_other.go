//go:build !windows && (!unix || aix || solaris)

package output

import "os"

// lock takes the file as it is: these systems have no lock that ends with the
// process, and one that outlives it would keep every later run away.
func lock(*os.File) error { return nil }

// noFollow is nothing here; the name is looked at before it is opened.
const noFollow = 0

const (
	noWait = 0
	sweeps = false
)

func hasOtherNames(os.FileInfo) bool { return false }
