package output

import (
	"path/filepath"
	"strings"
)

// Below reports whether a path was made from that of a folder. Names within a
// survey are relative to it, and never look so.
func Below(path, folder string) bool {
	folder = filepath.Clean(folder)
	return path == folder || strings.HasPrefix(path, folder+string(filepath.Separator))
}
