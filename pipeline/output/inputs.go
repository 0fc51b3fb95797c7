package output

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/record/sorting"
)

// Input is one file that the run read.
type Input struct {
	File   string `json:"file"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Inputs are the files of a folder that a run read, as they were then.
type Inputs struct {
	folder string
	list   []Input
}

// NewInputs begins with no file read of the folder.
func NewInputs(folder string) *Inputs {
	return &Inputs{folder: folder}
}

// Path is where a file of the folder is.
func (in *Inputs) Path(name string) string {
	return filepath.Join(in.folder, filepath.FromSlash(name))
}

// Note notes a file by its content, if it is not noted yet. It is called before
// the file is read, so that no change after it goes unseen. A file that cannot
// be opened is for its reader to explain.
func (in *Inputs) Note(name string) {
	info, err := os.Stat(in.Path(name))
	if err != nil || !info.Mode().IsRegular() || in.Noted(name) {
		return
	}
	if now, err := in.hash(name); err == nil {
		in.list = append(in.list, now)
	}
}

// NoteText notes a file by its text as it was read.
func (in *Inputs) NoteText(name string, text []byte) {
	sum := sha256.Sum256(text)
	in.list = append(in.list, Input{name, int64(len(text)), hex.EncodeToString(sum[:])})
}

// NoteRead notes a file of so many bytes that was read to its end, unless it is
// noted already.
func (in *Inputs) NoteRead(name string, size int64, sum [sha256.Size]byte) {
	if !in.Noted(name) {
		in.list = append(in.list, Input{name, size, hex.EncodeToString(sum[:])})
	}
}

// Add notes files as another process has noted them, those that are not noted
// yet.
func (in *Inputs) Add(noted []Input) {
	for _, one := range noted {
		if !in.Noted(one.File) {
			in.list = append(in.list, one)
		}
	}
}

// Clone returns a copy, to which more can be noted.
func (in *Inputs) Clone() *Inputs { return &Inputs{in.folder, slices.Clone(in.list)} }

// Noted reports whether a file is noted.
func (in *Inputs) Noted(name string) bool {
	return slices.ContainsFunc(in.list, func(i Input) bool { return i.File == name })
}

// Changed reports whether a file is not as it was noted: one that was not noted
// was not there.
func (in *Inputs) Changed(name string) bool {
	now, err := in.hash(name)
	i := slices.IndexFunc(in.list, func(was Input) bool { return was.File == name })
	if i < 0 {
		return !errors.Is(err, fs.ErrNotExist)
	}
	return err != nil || now != in.list[i]
}

// All are the files that are noted, by name.
func (in *Inputs) All() []Input {
	all := slices.Clone(in.list)
	sorting.Func(all, func(a, b Input) int { return strings.Compare(a.File, b.File) })
	return all
}

func (in *Inputs) hash(name string) (Input, error) {
	f, err := os.Open(in.Path(name))
	if err != nil {
		return Input{}, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	return Input{name, n, hex.EncodeToString(h.Sum(nil))}, err
}

// Unchanged makes sure that every file is still what it was when it was read, by
// its content: a program may put the time back. Outputs of which a part comes from the old text and a part from the
// new would be wrong in a way that nobody could find. Of the needed files that
// are not noted one was not there yet, and then it was.
func (in *Inputs) Unchanged(needed ...string) error {
	for _, name := range needed {
		if !in.Noted(name) {
			return changed(name, "")
		}
	}
	for _, was := range in.All() {
		now, err := in.hash(was.File)
		if err != nil {
			return changed(was.File, goneWords(err))
		}
		if now != was {
			return changed(was.File, "")
		}
	}
	return nil
}

func goneWords(err error) string {
	if errors.Is(err, fs.ErrNotExist) {
		return " (it is gone)"
	}
	return fmt.Sprintf(" (it can no longer be read: %v)", err)
}

func changed(name, how string) error {
	return &InputError{name, fmt.Errorf("%s changed while it was being read%s, so nothing was released; run again when no person or program is writing to it", name, how)}
}
