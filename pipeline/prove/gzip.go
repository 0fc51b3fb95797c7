package prove

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"sort"
	"strings"
)

// maxGzip bounds what a compressed container may unpack to, since it is held in
// memory.
const maxGzip = 1 << 30

// unzipped is a container that was compressed as a whole: a tape archive, or
// one text file.
type unzipped struct {
	files map[string][]byte
	list  []string
	alone bool // one text file
}

func (u *unzipped) names() []string { return u.list }
func (u *unzipped) close() error    { return nil }
func (u *unzipped) open(name string) (io.ReadCloser, error) {
	b, ok := u.files[name]
	if !ok {
		return nil, fmt.Errorf("%s: %w", name, fs.ErrNotExist)
	}
	return io.NopCloser(bytes.NewReader(b)), nil
}

func openGzip(p string, size int64, limits Limits) (container, error) {
	f, err := os.Open(p)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p, err)
	}
	most := min(limits.Total, maxGzip)
	b, err := io.ReadAll(io.LimitReader(z, int64(most)+1))
	switch {
	case uint64(len(b)) > most:
		return nil, &HostileError{Path: p, Why: fmt.Sprintf("it unpacks to more than %d bytes", most)}
	case len(b) > 1<<20 && float64(len(b)) > limits.Ratio*float64(size):
		return nil, &HostileError{Path: p, Why: fmt.Sprintf("it unpacks to more than %g times its size", limits.Ratio)}
	case err != nil:
		return nil, fmt.Errorf("%s: %w", p, err)
	}
	if len(b) > 262 && string(b[257:262]) == "ustar" {
		return untarred(p, b, limits)
	}
	name := strings.TrimSuffix(filepath.Base(p), filepath.Ext(p))
	return &unzipped{map[string][]byte{name: b}, []string{name}, true}, nil
}

func untarred(p string, b []byte, limits Limits) (container, error) {
	u := &unzipped{files: map[string][]byte{}}
	for in := tar.NewReader(bytes.NewReader(b)); ; {
		h, err := in.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil && !errors.Is(err, tar.ErrInsecurePath) {
			return nil, fmt.Errorf("%s: %w", p, err)
		}
		name := path.Clean(h.Name)
		why := unsafeName(h.Name)
		switch {
		case why != "":
		case h.Typeflag == tar.TypeDir, h.Typeflag == tar.TypeXGlobalHeader:
			continue
		case h.Typeflag != tar.TypeReg:
			why = "is not a regular file"
		case u.files[name] != nil:
			why = "is in the archive twice"
		case len(u.list) >= limits.Files:
			return nil, &HostileError{Path: p, Why: fmt.Sprintf("it contains more than %d files", limits.Files)}
		}
		if why != "" {
			return nil, &HostileError{p, h.Name, why}
		}
		text, err := io.ReadAll(in)
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", p, name, err)
		}
		u.files[name] = append(make([]byte, 0, len(text)+1), text...)
		u.list = append(u.list, name)
	}
	sort.Strings(u.list)
	return u, nil
}
