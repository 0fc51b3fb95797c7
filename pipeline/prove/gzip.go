package prove

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// maxGzip bounds what a compressed container may unpack to, since it is held in
// memory.
const maxGzip = 1 << 30

// unzipped is a container that was compressed as a whole.
func unzipped(files map[string][]byte) *container {
	return held(slices.Sorted(maps.Keys(files)), func(name string) (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(files[name])), nil
	})
}

// openGzip opens a tape archive, or one text file.
func openGzip(p string, size int64, limits Limits) (*container, error) {
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
	c := unzipped(map[string][]byte{strings.TrimSuffix(filepath.Base(p), filepath.Ext(p)): b})
	c.alone = true
	return c, nil
}

func untarred(p string, b []byte, limits Limits) (*container, error) {
	files := map[string][]byte{}
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
		case files[name] != nil:
			why = "is in the archive twice"
		case len(files) >= limits.Files:
			return nil, &HostileError{Path: p, Why: fmt.Sprintf("it contains more than %d files", limits.Files)}
		}
		if why != "" {
			return nil, &HostileError{p, h.Name, why}
		}
		text, err := io.ReadAll(in)
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", p, name, err)
		}
		files[name] = append(make([]byte, 0, len(text)+1), text...)
	}
	return unzipped(files), nil
}
