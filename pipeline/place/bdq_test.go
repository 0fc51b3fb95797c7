package place

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// Every row of the published validation data (TDWG Biodiversity Data Quality,
// repository of 2026-07-29) for the three amendments that this package serves.
// The row numbers that may differ would stand here with the reason; none does.
var bdqExceptions = map[string]string{}

const (
	prerequisites = "INTERNAL_PREREQUISITES_NOT_MET"
	filledIn      = "FILLED_IN"
	notAmended    = "NOT_AMENDED"
)

type bdqRow map[string]string

func bdqRows(t *testing.T, label string) []bdqRow {
	t.Helper()
	f, err := os.Open(need.Shared(t, "standards/bdq/test_validation_data.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []bdqRow
	for _, cells := range all[1:] {
		row := bdqRow{}
		for i, c := range cells {
			row[all[0][i]] = c
		}
		if row["Label"] == label {
			rows = append(rows, row)
		}
	}
	return rows
}

func TestBDQCoordinatesFromVerbatim(t *testing.T) {
	checkBDQ(t, "AMENDMENT_COORDINATES_FROM_VERBATIM", 10, func(r bdqRow) (string, map[string]string) {
		lat, lon, both := r["dwc:verbatimLatitude"], r["dwc:verbatimLongitude"], r["dwc:verbatimCoordinates"]
		if r["dwc:decimalLatitude"] != "" || r["dwc:decimalLongitude"] != "" || (both == "" && (lat == "" || lon == "")) {
			return prerequisites, nil
		}
		p := FromVerbatim(lat, lon, both, Options{Datum: r["dwc:verbatimSRS"], System: r["dwc:verbatimCoordinateSystem"]})
		if !p.Known() {
			if len(p.Problems) == 0 {
				t.Errorf("line %s: no coordinates and no problem", r["LineNumber"])
			}
			return notAmended, nil
		}
		got := map[string]string{"dwc:decimalLatitude": p.LatText, "dwc:decimalLongitude": p.LonText}
		if p.SRS != "" {
			got["dwc:geodeticDatum"] = GeodeticDatum
		}
		return filledIn, got
	})
}

func TestBDQElevationFromVerbatim(t *testing.T) {
	checkBDQ(t, "AMENDMENT_MINELEVATION-MAXELEVATION_FROM_VERBATIM", 8, func(r bdqRow) (string, map[string]string) {
		return amendHeights(r, "Elevation", ParseElevation)
	})
}

func TestBDQDepthFromVerbatim(t *testing.T) {
	checkBDQ(t, "AMENDMENT_MINDEPTH-MAXDEPTH_FROM_VERBATIM", 7, func(r bdqRow) (string, map[string]string) {
		return amendHeights(r, "Depth", ParseDepth)
	})
}

func amendHeights(r bdqRow, name string, parse func(text, unit string, decimal byte) (string, string, []record.Problem)) (string, map[string]string) {
	minTerm, maxTerm := "dwc:minimum"+name+"InMeters", "dwc:maximum"+name+"InMeters"
	if r[minTerm] != "" || r[maxTerm] != "" || r["dwc:verbatim"+name] == "" {
		return prerequisites, nil
	}
	low, high, _ := parse(r["dwc:verbatim"+name], "", 0)
	if low == "" {
		return notAmended, nil
	}
	return filledIn, map[string]string{minTerm: low, maxTerm: high}
}

func checkBDQ(t *testing.T, label string, rows int, respond func(bdqRow) (string, map[string]string)) {
	t.Helper()
	all := bdqRows(t, label)
	if len(all) < rows {
		t.Fatalf("%s: %d rows, want at least %d", label, len(all), rows)
	}
	for _, r := range all {
		if reason, ok := bdqExceptions[r["LineNumber"]]; ok {
			t.Logf("line %s passed over: %s", r["LineNumber"], reason)
			continue
		}
		status, got := respond(r)
		if status != r["Response.status"] {
			t.Errorf("line %s: %s, want %s", r["LineNumber"], status, r["Response.status"])
			continue
		}
		if status != filledIn {
			continue
		}
		want := map[string]string{}
		if err := json.Unmarshal([]byte(r["Response.result"]), &want); err != nil {
			t.Errorf("line %s: %v", r["LineNumber"], err)
		}
		for term, w := range want {
			if !sameNumber(got[term], w) {
				t.Errorf("line %s: %s = %q, want %q", r["LineNumber"], term, got[term], w)
			}
		}
	}
	t.Logf("%s: %d rows", label, len(all))
}

// sameNumber compares texts, as numbers where both are: -23.7120 says more than
// -23.712 of the same value.
func sameNumber(a, b string) bool {
	x, err1 := strconv.ParseFloat(a, 64)
	y, err2 := strconv.ParseFloat(b, 64)
	if err1 != nil || err2 != nil {
		return a == b
	}
	return math.Abs(x-y) < 1e-9
}
