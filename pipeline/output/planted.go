package output

import (
	"fmt"
	"os"
	"path/filepath"
)

// entries are what may be in the run folder, and whether it is a folder.
var entries = map[string]bool{lockName: false, exchangeName: false, preparedName: true, replacedName: true, tempName: true}

// ours makes sure that the run folder is one that a run made, and so is what it
// uses in it; whatever else is there is left alone. Whoever may write to the
// output folder could plant a link under one of these names, and have a run empty
// or overwrite what it leads to.
func (o *Folder) ours() error {
	info, err := os.Lstat(o.run)
	if err != nil {
		return err
	}
	if !info.IsDir() {
		return fmt.Errorf("%s is not a folder made by a run; remove it, or give another folder", o.run)
	}
	list, err := os.ReadDir(o.run)
	if err != nil {
		return err
	}
	for _, e := range list {
		folder, known := entries[e.Name()]
		if known && (folder != e.IsDir() || !folder && !e.Type().IsRegular()) {
			return fmt.Errorf("%s was not made by a run; remove it, or give another folder", filepath.Join(o.run, e.Name()))
		}
	}
	return nil
}

// openLock opens the file of the lock, or makes it.
func openLock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|noFollow, 0o644)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && (!info.Mode().IsRegular() || info.Size() > lockSize || hasOtherNames(info)) {
		err = fmt.Errorf("%s is not a lock made by this program; remove it, or give another folder", path)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}
