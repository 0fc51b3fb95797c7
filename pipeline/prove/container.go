package prove

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// Limits bound what a zip may unpack to.
type Limits struct {
	Ratio float64 // unpacked over packed size, for a file above a mebibyte and for the whole
	Total uint64  // bytes unpacked
	Files int
}

// DefaultLimits let text pass that is far more repetitive than field data: CSV
// of occurrences packs to about a tenth (common practice), deflate at most to a
// thousandth.
var DefaultLimits = Limits{Ratio: 250, Total: 200 << 30, Files: 10000}

// HostileError is a container that is refused unread.
type HostileError struct {
	Path string // the container
	Name string // the file within it, or empty
	Why  string
}

func (e *HostileError) Error() string {
	if e.Name == "" {
		return fmt.Sprintf("%s: refused: %s", e.Path, e.Why)
	}
	return fmt.Sprintf("%s: refused: %q %s", e.Path, e.Name, e.Why)
}

// container is a set of files by name, with forward slashes.
type container struct {
	names []string
	alone bool // it is one text file by itself
	read  func(name string) (io.ReadCloser, error)
	close func() error
}

// open opens one of the files.
func (c *container) open(name string) (io.ReadCloser, error) {
	if !slices.Contains(c.names, name) {
		return nil, fmt.Errorf("%s: %w", name, fs.ErrNotExist)
	}
	return c.read(name)
}

// held is a container of files that need not be closed.
func held(names []string, read func(name string) (io.ReadCloser, error)) *container {
	return &container{names: names, read: read, close: func() error { return nil }}
}

// openContainer opens a folder, a zip, or one file as a container of one.
func openContainer(p string, limits Limits) (*container, error) {
	info, err := os.Stat(p)
	if err != nil {
		return nil, err
	}
	switch {
	case info.IsDir():
		return openFolder(p, limits)
	case !info.Mode().IsRegular():
		return nil, &HostileError{Path: p, Why: "it is neither a file nor a folder"}
	case isZip(p):
		return openZip(p, info.Size(), limits)
	case begins(p, "\x1f\x8b"):
		return openGzip(p, info.Size(), limits)
	}
	c := held([]string{filepath.Base(p)}, func(string) (io.ReadCloser, error) { return os.Open(p) })
	c.alone = true
	return c, nil
}

func isZip(p string) bool { return begins(p, "PK") || strings.EqualFold(filepath.Ext(p), ".zip") }

// begins reports whether a file of four bytes or more begins so.
func begins(p, magic string) bool {
	f, err := os.Open(p)
	if err != nil {
		return false
	}
	defer f.Close()
	var head [4]byte
	n, _ := io.ReadFull(f, head[:])
	return n == 4 && strings.HasPrefix(string(head[:]), magic)
}

// openFolder reads below one folder and follows no link out of it.
func openFolder(dir string, limits Limits) (*container, error) {
	var list []string
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, p)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		if d.Type()&fs.ModeSymlink != 0 {
			return &HostileError{dir, name, "is a link"}
		}
		if !d.Type().IsRegular() {
			return &HostileError{dir, name, "is not a regular file"}
		}
		if list = append(list, name); len(list) > limits.Files {
			return &HostileError{Path: dir, Why: fmt.Sprintf("it contains more than %d files", limits.Files)}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	slices.Sort(list)
	read := func(name string) (io.ReadCloser, error) { return root.Open(filepath.FromSlash(name)) }
	return &container{names: list, read: read, close: root.Close}, nil
}

// openZip reads a zip whose table of contents was found harmless.
func openZip(p string, size int64, limits Limits) (*container, error) {
	z, err := zip.OpenReader(p)
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		if errors.Is(err, zip.ErrFormat) {
			err = errors.New("this is not a zip file, or its end is missing")
		}
		return nil, fmt.Errorf("%s: %w; give a complete archive, its folder, or a text file with one table", p, err)
	}
	files, err := admitted(z.File, p, size, limits)
	if err != nil {
		z.Close()
		return nil, err
	}
	read := func(name string) (io.ReadCloser, error) {
		f := files[name]
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		return &bounded{r, f.UncompressedSize64, name}, nil
	}
	return &container{names: slices.Sorted(maps.Keys(files)), read: read, close: z.Close}, nil
}

// admitted checks the table of contents, and returns the files by name.
func admitted(all []*zip.File, p string, size int64, limits Limits) (map[string]*zip.File, error) {
	if len(all) > limits.Files {
		return nil, &HostileError{Path: p, Why: fmt.Sprintf("it contains more than %d files", limits.Files)}
	}
	var total uint64
	files, seen := map[string]*zip.File{}, map[string]bool{}
	for _, f := range all {
		why := unsafeName(f.Name)
		mode := f.Mode()
		switch {
		case why != "":
		case mode&fs.ModeSymlink != 0:
			why = "is a link"
		case mode.Type() != 0 && !mode.IsDir():
			why = "is not a regular file"
		case seen[strings.ToLower(path.Clean(f.Name))]:
			why = "is in the zip twice"
		case f.Flags&1 != 0:
			why = "is encrypted"
		case f.UncompressedSize64 > 1<<20 && float64(f.UncompressedSize64) > limits.Ratio*float64(f.CompressedSize64):
			why = fmt.Sprintf("unpacks to more than %g times its size", limits.Ratio)
		}
		if why != "" {
			return nil, &HostileError{p, f.Name, why}
		}
		seen[strings.ToLower(path.Clean(f.Name))] = true
		total += f.UncompressedSize64
		if total > limits.Total || total < f.UncompressedSize64 {
			return nil, &HostileError{Path: p, Why: fmt.Sprintf("it unpacks to more than %d bytes", limits.Total)}
		}
		if !mode.IsDir() {
			files[f.Name] = f
		}
	}
	if total > 1<<20 && float64(total) > limits.Ratio*float64(size) {
		return nil, &HostileError{Path: p, Why: fmt.Sprintf("it unpacks to more than %g times its size", limits.Ratio)}
	}
	return files, nil
}

// unsafeName says why a name must not be used, or "".
func unsafeName(name string) string {
	switch {
	case name == "":
		return "is not a valid name"
	case strings.Contains(name, "\\"):
		return "contains a backslash"
	case strings.ContainsRune(name, 0):
		return "contains a NUL"
	case strings.HasPrefix(name, "/"), len(name) > 1 && name[1] == ':':
		return "is an absolute path"
	case slices.Contains(strings.Split(name, "/"), ".."):
		return "leads outside the archive"
	}
	return ""
}

// bounded fails when a file of a zip unpacks to more than its table of
// contents said.
type bounded struct {
	io.ReadCloser
	left uint64
	name string
}

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	if uint64(n) > b.left || errors.Is(err, zip.ErrFormat) { // the library's own word for the same
		return 0, &HostileError{Path: "zip", Name: b.name, Why: "unpacks to more than its stated size"}
	}
	b.left -= uint64(n)
	if err != nil && err != io.EOF {
		err = fmt.Errorf("%s: %w", b.name, err)
	}
	return n, err
}
