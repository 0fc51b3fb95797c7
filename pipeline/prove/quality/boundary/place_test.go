package boundary

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"
)

func readRows(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func degrees(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

var kinds = map[string]Kind{"doubtful": Doubtful, "land": Land, "sea": Sea, "high seas": HighSeas}

func TestPlaces(t *testing.T) {
	rows := readRows(t, "testdata/places.csv")
	if len(rows) < 50 {
		t.Fatalf("%d places, want at least 50", len(rows))
	}
	for _, row := range rows {
		lat, lon := degrees(t, row[0]), degrees(t, row[1])
		got := At(lat, lon)
		if got.Kind != kinds[row[2]] || got.Code != row[3] {
			t.Errorf("%s, %s (%s): %v, want %s %s", row[0], row[1], row[4], got, row[2], row[3])
		}
		if row[3] != "" && !Within(row[3], lat, lon, 3) {
			t.Errorf("%s, %s (%s) is not within %s", row[0], row[1], row[4], row[3])
		}
		if OnLand(lat, lon) != (got.Kind == Land || row[2] == "doubtful" && len(got.Also) > 0) {
			t.Errorf("%s, %s (%s): OnLand differs from At", row[0], row[1], row[4])
		}
	}
}

func TestWithin(t *testing.T) {
	for _, c := range []struct {
		name     string
		code     string
		lat, lon float64
		buffer   float64
		want     bool
	}{
		{"the wrong country", "FR", 52.52, 13.40, 3, false},
		{"the other side of the earth", "AU", 25.23, -135.43, 3, false},
		{"just across a border, within the buffer", "DE", 48.573, 7.77, 5, true}, // Strasbourg is 3 km from the Rhine
		{"farther across the border", "DE", 48.573, 7.60, 5, false},
		{"overseas, by its own code", "GF", 4.92, -52.31, 3, true},
		{"overseas, by the code of the state", "FR", 4.92, -52.31, 3, true},
		{"but not the other way round", "GF", 48.86, 2.35, 3, false},
		{"contested land, one claim", "UA", 45.2, 34.1, 3, true},
		{"contested land, the other", "RU", 45.2, 34.1, 3, true},
		{"contested land, a third", "PL", 45.2, 34.1, 3, false},
		{"near a median line, one coast", "GB", 51.0, 1.45, 3, true},
		{"near a median line, the other", "FR", 51.0, 1.45, 3, true},
		{"off one coast, in reach of the other", "FR", 51.12, 1.35, 3, false},
		{"high seas", "XZ", -38.280937, 72.047790, 3, true},
		{"high seas asked for on land", "XZ", 52.52, 13.40, 3, false},
		{"high seas asked for off a coast", "XZ", 50.95, 1.45, 3, false},
		{"a country asked for on the high seas", "FR", -38.280937, 72.047790, 3, false},
		{"no such code", "QQ", 52.52, 13.40, 3, false},
		{"out of range", "DE", 152.52, 13.40, 3, false},
		{"no number", "DE", math.NaN(), 13.40, 3, false},
		{"at the antimeridian", "FJ", -16.8, 180, 3, true},
		{"west of the antimeridian", "US", 51.9, 179.5, 3, true},
	} {
		if got := Within(c.code, c.lat, c.lon, c.buffer); got != c.want {
			t.Errorf("%s: Within(%s, %g, %g) = %v", c.name, c.code, c.lat, c.lon, got)
		}
	}
}

// names that the reference writes, with the codes that parts of them have here.
var referenceCodes = map[string][]string{
	"France": {"FR", "RE", "GF", "GP", "MQ", "YT"}, "Norway": {"NO", "SJ", "BV"}, "New Zealand": {"NZ", "TK"},
	"Netherlands": {"NL", "BQ"}, "Indian Ocean Ter.": {"CX", "CC"},
}

// The reference comes from another program, written in another language, that
// counts turns instead of crossings and measures on the sphere.
func TestReference(t *testing.T) {
	w := embedded()
	codes := map[string]string{} // name to code, as far as the two sets pair them
	for _, row := range readRows(t, "testdata/reference/boundary.csv") {
		lat, lon, land, nearest, km := degrees(t, row[0]), degrees(t, row[1]), row[2], row[3], degrees(t, row[4])
		on := w.on(lat, lon)
		if (land != "") != (len(on) > 0) {
			t.Errorf("%g, %g: on land %v, reference %q", lat, lon, len(on) > 0, land)
			continue
		}
		pair := func(name, code string) {
			if slices.Contains(referenceCodes[name], code) {
				return
			}
			if old, ok := codes[name]; ok && old != code {
				t.Errorf("%g, %g: %s is %s here and %s elsewhere", lat, lon, name, code, old)
			}
			codes[name] = code
		}
		if land != "" {
			pair(land, on[0].code)
		}
		if km > 360 {
			continue
		}
		near := w.nearest(lat, lon, 389)
		if len(near) == 0 {
			t.Errorf("%g, %g: nothing within 389 km, reference %s at %g km", lat, lon, nearest, km)
			continue
		}
		if d := math.Abs(near[0].km - km); d > 1+0.02*km {
			t.Errorf("%g, %g: %s at %.1f km, reference %s at %.1f km", lat, lon, near[0].code, near[0].km, nearest, km)
		}
		if len(near) == 1 || near[1].km > near[0].km*1.03+1 {
			pair(nearest, near[0].code)
		}
	}
	if len(codes) < 50 {
		t.Errorf("only %d countries compared", len(codes))
	}
}

func TestKnown(t *testing.T) {
	for _, code := range []string{"US", "XZ", "GF", "AX", "EH", "VA"} {
		if !Known(code) {
			t.Errorf("%s is not known", code)
		}
	}
	if Known("ZZ") || Known("") {
		t.Error("a code of no country is known")
	}
}

// A place and its mirror a whole turn away are the same; answers do not depend
// on who asks at the same time.
func TestManyAtOnce(t *testing.T) {
	want := At(42.44, -76.5)
	var wg sync.WaitGroup
	for range 8 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for range 50 {
				if got := At(42.44, -76.5); got.Code != want.Code {
					t.Errorf("%v, want %v", got, want)
				}
			}
		}()
	}
	wg.Wait()
}

func TestUnpackDamaged(t *testing.T) {
	for _, b := range [][]byte{nil, {1, 2, 3}} {
		if _, err := unpack(b); err == nil {
			t.Errorf("%v was unpacked", b)
		}
	}
}

func FuzzWithin(f *testing.F) {
	f.Add("US", 42.44, -76.5)
	f.Add("XZ", -90.0, 180.0)
	f.Fuzz(func(t *testing.T, code string, lat, lon float64) {
		at := At(lat, lon)
		if at.Code != "" && !Within(at.Code, lat, lon, 0) {
			t.Errorf("%g, %g is in %s but not within it", lat, lon, at.Code)
		}
		Within(code, lat, lon, 3)
	})
}

func BenchmarkAtLand(b *testing.B) {
	embedded()
	for b.Loop() {
		At(42.44, -76.5)
	}
}

func BenchmarkAtSea(b *testing.B) {
	embedded()
	for b.Loop() {
		At(64, 5)
	}
}
