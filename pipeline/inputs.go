package pipeline

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// sighting is a file of the survey folder as it was when it was read.
type sighting struct {
	info fs.FileInfo
	// A file that was written just before it was read may be written again
	// without its time telling: times have steps, of two seconds on some disks.
	fresh bool
}

const coarsestTime = 2 * time.Second

// input notes a file of the survey folder by its content. It is called before
// the file is read, so that no change after it goes unseen. A file that cannot
// be opened is for its reader to explain.
func (w *way) input(name string) {
	seen, err := sight(w.path(name))
	if err != nil || !seen.info.Mode().IsRegular() {
		return
	}
	in, err := w.hash(name)
	if err != nil {
		return
	}
	w.inputs = append(w.inputs, in)
	w.see(name, seen)
}

// sight looks at a file that is about to be read.
func sight(path string) (sighting, error) {
	info, err := os.Stat(path)
	if err != nil {
		return sighting{}, err
	}
	return sighting{info, time.Since(info.ModTime()).Abs() < coarsestTime}, nil
}

func (w *way) see(name string, s sighting) {
	if w.seen == nil {
		w.seen = map[string]sighting{}
	}
	w.seen[name] = s
}

// addInput notes a file by its text as it was read.
func (w *way) addInput(name string, text []byte) {
	sum := sha256.Sum256(text)
	w.inputs = append(w.inputs, input{name, int64(len(text)), hex.EncodeToString(sum[:])})
}

func (w *way) path(name string) string { return filepath.Join(w.folder, filepath.FromSlash(name)) }

func (w *way) hash(name string) (input, error) {
	f, err := os.Open(w.path(name))
	if err != nil {
		return input{}, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	return input{name, n, hex.EncodeToString(h.Sum(nil))}, err
}

// unchanged makes sure that every input is still what it was when it was read:
// by its size and time, and where these differ or could hide a change, by its
// content. Outputs of which a part comes from the old text and a part from the
// new would be wrong in a way that nobody could find.
func (w *way) unchanged() error {
	for _, ref := range w.survey.Sheets {
		if !w.noted(ref.File) { // it was not there yet, and then it was
			return changed(ref.File, "")
		}
	}
	for _, was := range w.allInputs() {
		info, err := os.Stat(w.path(was.File))
		if err != nil {
			return changed(was.File, goneWords(err))
		}
		if s, ok := w.seen[was.File]; ok && !s.fresh && same(s.info, info) {
			continue
		}
		now, err := w.hash(was.File)
		if err != nil {
			return changed(was.File, goneWords(err))
		}
		if now != was {
			return changed(was.File, "")
		}
	}
	return nil
}

func (w *way) noted(name string) bool {
	for _, in := range w.inputs {
		if in.File == name {
			return true
		}
	}
	return false
}

func same(a, b fs.FileInfo) bool {
	return a.Size() == b.Size() && a.ModTime().Equal(b.ModTime()) && os.SameFile(a, b)
}

func goneWords(err error) string {
	if errors.Is(err, fs.ErrNotExist) {
		return " (it is gone)"
	}
	return fmt.Sprintf(" (it can no longer be read: %v)", err)
}

func changed(name, how string) error {
	return &InputError{name, fmt.Errorf("%s changed while it was being read%s, and nothing was released; run again when nobody and no program writes to it", name, how)}
}
