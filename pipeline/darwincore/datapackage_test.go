package darwincore_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
)

// TestPackageStays checks that two runs give the same bytes.
func TestPackageStays(t *testing.T) {
	a, b := t.TempDir(), t.TempDir()
	for _, dir := range []string{a, b} {
		captures := slices.Values([]*record.Capture{capture(1), capture(2), capture(3)})
		counts, err := darwincore.WritePackage(dir, dataset(), label, captures)
		if err != nil {
			t.Fatal(err)
		}
		if counts["occurrence"] != 3 || counts["event"] != 2 || counts["identification"] != 3 {
			t.Errorf("counts %v", counts)
		}
	}
	files, err := os.ReadDir(filepath.Join(a, darwincore.PackageFolder))
	if err != nil || len(files) < 8 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, f := range files {
		x, errX := os.ReadFile(filepath.Join(a, darwincore.PackageFolder, f.Name()))
		y, errY := os.ReadFile(filepath.Join(b, darwincore.PackageFolder, f.Name()))
		if errX != nil || errY != nil || !bytes.Equal(x, y) {
			t.Errorf("%s differs between two runs", f.Name())
		}
	}
	if left, _ := filepath.Glob(filepath.Join(a, "*.tmp")); len(left) > 0 {
		t.Errorf("temporary files are left: %v", left)
	}
}

// TestPlaceStaysWhole checks that a position is told by one event, not half by
// the session and half by the capture.
func TestPlaceStaysWhole(t *testing.T) {
	dir := t.TempDir()
	var captures []*record.Capture
	for i, lat := range []string{"51.25", "51.26"} {
		c := capture(i + 1)
		c.Set(record.Value{Field: record.Of("decimalLatitude"), Text: lat})
		captures = append(captures, c)
	}
	if _, err := darwincore.WritePackage(dir, dataset(), nil, slices.Values(captures)); err != nil {
		t.Fatal(err)
	}
	rows := readCSV(t, filepath.Join(dir, darwincore.PackageFolder, "event.csv"))
	lat, lon := slices.Index(rows[0], "decimalLatitude"), slices.Index(rows[0], "decimalLongitude")
	whole := 0
	for _, r := range rows[1:] {
		if (r[lat] == "") != (r[lon] == "") {
			t.Errorf("event %v has half a position", r)
		}
		if r[lat] != "" {
			whole++
		}
	}
	if whole != 2 {
		t.Errorf("%d events with a position, want one for each capture", whole)
	}
}

// Captures of one session that were made in two ways: each way is said, of the
// event of the capture, though nothing else differs.
func TestProtocolsOfOneSession(t *testing.T) {
	dir := t.TempDir()
	var captures []*record.Capture
	for i, how := range []string{"dip net", "pitfall", "dip net"} {
		c := capture(i + 1)
		c.Set(record.Value{Field: record.Of("samplingProtocol"), Text: how})
		captures = append(captures, c)
	}
	counts, err := darwincore.WritePackage(dir, dataset(), nil, slices.Values(captures))
	if err != nil {
		t.Fatal(err)
	}
	if counts["protocol"] < 2 || counts["event-protocol"] != 3 {
		t.Errorf("%d protocols at %d events, want the two ways of the three captures", counts["protocol"], counts["event-protocol"])
	}
}

func TestMedia(t *testing.T) {
	got := darwincore.Media("https://marrowcreek.example", "IMG_1.JPG | https://marrowcreek.example/call.wav |  | notes")
	if len(got) != 3 {
		t.Fatalf("media %+v", got)
	}
	for i, want := range []darwincore.Medium{
		{Type: "StillImage", Name: "IMG_1.JPG", Format: "image/jpeg"},
		{ID: "https://marrowcreek.example/call.wav", Type: "Sound", URI: "https://marrowcreek.example/call.wav", Name: "https://marrowcreek.example/call.wav", Format: "audio/wav"},
		{Name: "notes"},
	} {
		if want.ID == "" {
			want.ID = got[i].ID
		}
		if got[i] != want || got[i].ID == "" {
			t.Errorf("got %+v, want %+v", got[i], want)
		}
	}
	dir := t.TempDir()
	c := capture(1)
	c.Set(record.Value{Field: record.Of("associatedMedia"), Text: "IMG_1.JPG"})
	if n := write(t, dir, c); n.Media != 1 {
		t.Errorf("counts %+v", n)
	}
	if rows := readCSV(t, filepath.Join(dir, darwincore.Folder, darwincore.MediaFile)); len(rows) != 2 || rows[1][0] != c.ID {
		t.Errorf("media.csv holds %q", rows)
	}
}
