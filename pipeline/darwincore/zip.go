package darwincore

import (
	"archive/zip"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/klauspost/compress/flate"
)

// zipTime stands for the time of every file in a zip: the first that the
// format can hold.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// writeZip packs files of a folder. The compressor is one whose version stands
// in go.mod, so that the bytes do not change with the version of Go.
func writeZip(w io.Writer, folder string, names []string) error {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) {
		return flate.NewWriter(w, flate.DefaultCompression)
	})
	for _, name := range names {
		if err := addToZip(z, folder, name); err != nil {
			return err
		}
	}
	return z.Close()
}

func addToZip(z *zip.Writer, folder, name string) error {
	f, err := os.Open(filepath.Join(folder, name))
	if err != nil {
		return err
	}
	defer f.Close()
	out, err := z.CreateHeader(&zip.FileHeader{Name: filepath.ToSlash(name), Method: zip.Deflate, Modified: zipTime})
	if err != nil {
		return err
	}
	_, err = io.Copy(out, f)
	return err
}
