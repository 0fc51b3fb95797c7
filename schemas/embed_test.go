package schemas

import (
	"bytes"
	"compress/gzip"
	"embed"
	"testing"
)

//go:embed testdata/*.csv
var packed embed.FS

// A table that was packed, as .release/pack.go does, reads as the plain one.
func TestPackedTable(t *testing.T) {
	type row struct {
		Code string `csv:"code"`
	}
	for _, name := range []string{"testdata/plain.csv", "testdata/packed.csv"} {
		rows, err := Decode[row](Folder{packed}, name)
		if err != nil || len(rows) != 2 || rows[1].Code != "Ω" {
			t.Errorf("%s: %v %v", name, rows, err)
		}
	}
	if text, _ := packed.ReadFile("testdata/packed.csv"); !bytes.HasPrefix(text, []byte{0x1f, 0x8b}) {
		t.Error("packed.csv is plain")
	} else if z, err := gzip.NewReader(bytes.NewReader(text)); err != nil || !z.ModTime.IsZero() || z.Name != "" {
		t.Errorf("packed.csv names a file or a time: %v", err)
	}
}
