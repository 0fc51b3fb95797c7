package calendar

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"io/fs"
	"sync"
	"time"

	"spadefoot/schemas"
)

// Zone returns the time zone that the IANA database has under a name such as
// America/Toronto, from the program's own copy of it (schemas.Zones).
func Zone(name string) (*time.Location, error) {
	all, err := zones()
	if err != nil {
		return nil, err
	}
	data, err := fs.ReadFile(all, name)
	if err != nil {
		return nil, fmt.Errorf("%q is not a time zone of the IANA database", name)
	}
	return time.LoadLocationFromTZData(name, data)
}

var zones = sync.OnceValues(func() (fs.FS, error) {
	z, err := gzip.NewReader(bytes.NewReader(schemas.Zones))
	if err != nil {
		return nil, err
	}
	b, err := io.ReadAll(z)
	if err != nil {
		return nil, err
	}
	return zip.NewReader(bytes.NewReader(b), int64(len(b)))
})
