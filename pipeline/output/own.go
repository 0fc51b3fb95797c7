package output

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
)

// SpareAll makes sure of what Spare does, and that a path is not a folder that holds
// one of the files.
func SpareAll(path, folder string, files []string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		for _, name := range files {
			if inside, err := Within(filepath.Join(folder, filepath.FromSlash(name)), path); err == nil && inside {
				return fmt.Errorf("%s holds %s of the survey, which is never written to; give another path", path, name)
			}
		}
	}
	return Spare(path, folder, files)
}

// Spare makes sure that a path is none of the files of a folder that must not
// be written: neither one of them under whatever name, nor a name of one that is
// not there yet.
func Spare(path, folder string, files []string) error {
	for _, name := range files {
		own := filepath.Join(folder, filepath.FromSlash(name))
		if sameFile(path, own) || samePath(path, own) {
			return fmt.Errorf("%s is %s of the survey, which is never written to; give another path", path, name)
		}
	}
	return nil
}

func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

func samePath(a, b string) bool {
	x, err := filepath.Abs(a)
	if err != nil {
		return false
	}
	y, err := filepath.Abs(b)
	return err == nil && x == y
}

// made are the outputs that could be taken for sheets, by the file
// beside them that says that this program wrote them. A folder stands for all in
// it.
var made = map[string][]string{
	"run.json":       {"captures.csv", "findings.csv", "darwin-core", "data-package"},
	"observers.json": {"observers.csv", "agreement.csv"},
}

// Made reports whether a file of a survey folder is an output of a run, which
// is never read as a sheet.
func Made(folder fs.FS, name string) bool {
	for dir, below := path.Dir(name), path.Base(name); ; dir, below = path.Dir(dir), path.Base(dir) {
		if below == runFolder {
			return true
		}
		for beside, names := range made {
			if slices.Contains(names, below) && isOurs(folder, path.Join(dir, beside)) {
				return true
			}
		}
		if dir == "." || dir == "/" {
			return false
		}
	}
}

// isOurs reports whether a file says that this program wrote it.
func isOurs(folder fs.FS, name string) bool {
	f, err := folder.Open(name)
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, 64)
	n, _ := f.Read(head)
	return bytes.Contains(head[:n], []byte(`"program": "spadefoot"`))
}
