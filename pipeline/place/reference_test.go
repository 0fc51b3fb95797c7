package place

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/record/need"
	"spadefoot/schemas"
)

// referenceRows reads stored values of other programs; the first line of each file
// names the program and its version, place_reference.py made them.
func referenceRows[T any](t *testing.T, name string, least int) []T {
	t.Helper()
	rows, err := schemas.Decode[T](os.DirFS(filepath.Join(need.Root(t), "testdata", "reference")), name)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < least {
		t.Fatalf("%s: %d rows, want at least %d", name, len(rows), least)
	}
	return rows
}

// worst keeps the largest error and the row that it was found in.
type worst struct {
	v  float64
	at any
}

func (w *worst) see(v float64, at any) {
	if v > w.v || math.IsNaN(v) {
		w.v, w.at = v, at
	}
}

func (w worst) below(t *testing.T, what string, limit float64) {
	t.Helper()
	t.Logf("%s: worst error %.3g m (limit %g m)", what, w.v, limit)
	if !(w.v <= limit) {
		t.Errorf("%s: error %g m above %g m at %+v", what, w.v, limit, w.at)
	}
}

func TestUTMAgainstPROJAndGeographicLib(t *testing.T) {
	type row struct {
		Lat        float64 `csv:"lat"`
		Lon        float64 `csv:"lon"`
		Zone       int     `csv:"zone"`
		Hemisphere string  `csv:"hemisphere"`
		Easting    float64 `csv:"easting"`
		Northing   float64 `csv:"northing"`
		Easting2   float64 `csv:"easting2"`
		Northing2  float64 `csv:"northing2"`
		MGRS       string  `csv:"mgrs"`
	}
	var geo, proj, back worst
	for _, r := range referenceRows[row](t, "place_utm.csv", 200) {
		zone, _, e, n, err := UTM(r.Lat, r.Lon)
		if err != nil || zone != r.Zone {
			t.Errorf("%+v: zone %d, error %v", r, zone, err)
			continue
		}
		geo.see(math.Hypot(e-r.Easting, n-r.Northing), r)
		proj.see(math.Hypot(e-r.Easting2, n-r.Northing2), r)
		lat, lon := fromGrid(wgs84Ellipsoid, r.Zone, r.Hemisphere == "S", r.Easting, r.Northing)
		back.see(Distance(lat, lon, r.Lat, r.Lon), r)
		if got, err := MGRS(r.Lat, r.Lon, 5); err != nil || got != r.MGRS {
			t.Errorf("MGRS(%v, %v) = %s, %v; GeographicLib has %s", r.Lat, r.Lon, got, err, r.MGRS)
		}
	}
	geo.below(t, "UTM against GeographicLib", 1e-6)
	proj.below(t, "UTM against PROJ", 2e-6) // stored to the micrometre
	back.below(t, "UTM back to degrees", 1e-6)
}

func TestGridsOnOtherDatums(t *testing.T) {
	type row struct {
		Code       string  `csv:"code"`
		Datum      string  `csv:"datum"`
		Zone       int     `csv:"zone"`
		Hemisphere string  `csv:"hemisphere"`
		Easting    float64 `csv:"easting"`
		Northing   float64 `csv:"northing"`
		Lat        float64 `csv:"lat"`
		Lon        float64 `csv:"lon"`
	}
	tables := datums()
	var w worst
	for _, r := range referenceRows[row](t, "place_grids.csv", 50) {
		ref, ok := tables.resolve("EPSG:" + r.Code)
		if !ok || ref.datum.Code != r.Datum {
			t.Errorf("EPSG:%s resolves to %+v", r.Code, ref)
			continue
		}
		z, err := readZone(ref.zone)
		if err != nil || z.number != r.Zone || z.south != (r.Hemisphere == "S") {
			t.Errorf("EPSG:%s: zone %+v, %v", r.Code, z, err)
		}
		lat, lon := fromGrid(ref.datum.ellipsoid(), z.number, z.south, r.Easting, r.Northing)
		w.see(Distance(lat, lon, r.Lat, r.Lon), r)
	}
	w.below(t, "UTM on other ellipsoids against PROJ", 2e-5) // stored to 1e-10 degrees
}

func TestSquaresAgainstGeographicLib(t *testing.T) {
	type row struct {
		Lat       float64 `csv:"lat"`
		Lon       float64 `csv:"lon"`
		Digits    int     `csv:"digits"`
		MGRS      string  `csv:"mgrs"`
		MiddleLat float64 `csv:"middleLat"`
		MiddleLon float64 `csv:"middleLon"`
	}
	var w worst
	for _, r := range referenceRows[row](t, "place_squares.csv", 200) {
		if got, err := MGRS(r.Lat, r.Lon, r.Digits); err != nil || got != r.MGRS {
			t.Errorf("MGRS(%v, %v, %d) = %s, %v; GeographicLib has %s", r.Lat, r.Lon, r.Digits, got, err, r.MGRS)
		}
		p := ParsePair(r.MGRS, Options{Datum: "WGS84"})
		if !p.Known() || len(p.Problems) > 0 {
			t.Errorf("%s: %+v", r.MGRS, p.Problems)
			continue
		}
		w.see(Distance(p.Latitude, p.Longitude, r.MiddleLat, r.MiddleLon), r)
		if d := Distance(p.Latitude, p.Longitude, r.Lat, r.Lon); d > p.Uncertainty*1.001 {
			t.Errorf("%s: the place is %g m from the middle, the uncertainty is %g m", r.MGRS, d, p.Uncertainty)
		}
	}
	w.below(t, "middles of MGRS squares against GeographicLib", 1e-3)
}

type shifted struct {
	Code      string  `csv:"code"`
	Operation string  `csv:"operation"`
	Country   string  `csv:"country"`
	Lat       float64 `csv:"lat"`
	Lon       float64 `csv:"lon"`
	Lat84     float64 `csv:"lat84"`
	Lon84     float64 `csv:"lon84"`
	Accuracy  float64 `csv:"accuracy"`
}

func TestEveryShiftAgainstPROJ(t *testing.T) {
	tables := datums()
	var w worst
	seen := map[string]bool{}
	for _, r := range referenceRows[shifted](t, "place_datum.csv", 200) {
		ref, ok := tables.resolve(r.Code)
		if !ok {
			t.Fatalf("%s is not in datums.csv", r.Code)
		}
		for i := range ref.datum.shifts {
			s := &ref.datum.shifts[i]
			if s.Operation != r.Operation {
				continue
			}
			seen[s.Operation] = true
			lat, lon := ref.datum.apply(s, r.Lat, r.Lon)
			w.see(Distance(lat, lon, r.Lat84, r.Lon84), r)
		}
	}
	for _, d := range tables.all {
		for _, s := range d.shifts {
			if !seen[s.Operation] {
				t.Errorf("%s of datum_shifts.csv has no reference value", s.Operation)
			}
		}
	}
	w.below(t, "each shift against PROJ's operation of the same code", 0.01)
}

// PROJ's own choice, which uses grids where Debian packages them (DHDN, NTF,
// NZGD49), must lie within the two stated accuracies of ours.
func TestShiftsAgainstBestOfPROJ(t *testing.T) {
	var w worst
	n, blind := 0, 0
	rows := referenceRows[shifted](t, "place_best.csv", 200)
	for _, r := range rows {
		p := Parse(decimal(r.Lat, 7), decimal(r.Lon, 7), Options{Datum: r.Code, CountryCode: r.Country})
		if !p.Known() {
			t.Fatalf("%+v: %+v", r, p.Problems)
		}
		stated := p.Uncertainty - lastPlaceError(r.Lat, 1e-7, 1e-7, 0.5) - p.rounding()
		d := Distance(p.Latitude, p.Longitude, r.Lat84, r.Lon84)
		w.see(d, r)
		q := Parse(decimal(r.Lat, 7), decimal(r.Lon, 7), Options{Datum: r.Code})
		if d := Distance(q.Latitude, q.Longitude, r.Lat84, r.Lon84); d > q.Uncertainty+r.Accuracy {
			blind++
		}
		if d > stated+r.Accuracy+0.01 {
			t.Errorf("%s %v, %v by %s: %.2f m apart, stated accuracies %.2f m and %.2f m (%s)", r.Code, r.Lat, r.Lon, r.Operation, d, stated, r.Accuracy, p.Remark)
			n++
		}
	}
	t.Logf("PROJ's own choice: worst difference %.3g m at %+v; %d of %d beyond the stated accuracies; %d where the country is not told", w.v, w.at, n, len(rows), blind)
	if blind > len(rows)/50 {
		t.Errorf("without the country %d of %d lie beyond the stated accuracies", blind, len(rows))
	}
}

func TestDistanceAgainstPROJ(t *testing.T) {
	type row struct {
		Lat1   float64 `csv:"lat1"`
		Lon1   float64 `csv:"lon1"`
		Lat2   float64 `csv:"lat2"`
		Lon2   float64 `csv:"lon2"`
		Metres float64 `csv:"metres"`
	}
	var w, antipodal worst
	for _, r := range referenceRows[row](t, "place_distance.csv", 100) {
		d := Distance(r.Lat1, r.Lon1, r.Lat2, r.Lon2)
		if r.Metres > 19_900_000 {
			antipodal.see(math.Abs(d-r.Metres)/r.Metres, r)
			continue
		}
		w.see(math.Abs(d-r.Metres), r)
	}
	w.below(t, "distance against PROJ", 5e-4)
	t.Logf("near antipodal places: worst relative error %.3g", antipodal.v)
	if antipodal.v > 0.006 {
		t.Errorf("relative error %g at %+v", antipodal.v, antipodal.at)
	}
}
