package darwincore

import (
	"archive/zip"
	"io"
)

// January of 1980, the first date that the format of MS-DOS can hold, stands
// for the time of every file in a zip.
const zipDate = 1<<5 | 1

// entry is one file of a zip, deflated already.
type entry struct {
	name string
	from *packing
}

// Values of the format (PKWARE APPNOTE 6.3, 4.4.3 and 4.4.4).
const (
	zipVersion     = 20     // deflated files
	sizesAfterData = 1 << 3 // in a descriptor, which can tell more than 4 GiB
)

// writeZip packs files. Sizes above 4 GiB go into the records of ZIP64.
func writeZip(w io.Writer, entries []entry) error {
	z := zip.NewWriter(w)
	for _, e := range entries {
		out, err := z.CreateRaw(&zip.FileHeader{
			Name: e.name, Method: zip.Deflate, Flags: sizesAfterData, CreatorVersion: zipVersion, ReaderVersion: zipVersion,
			//lint:ignore SA1019 CreateRaw writes this field and does not look at Modified
			ModifiedDate: zipDate,
			CRC32:        e.from.crc, UncompressedSize64: e.from.size, CompressedSize64: e.from.zip,
		})
		if err != nil {
			return err
		}
		if err := e.from.copyTo(out); err != nil {
			return err
		}
	}
	return z.Close()
}
