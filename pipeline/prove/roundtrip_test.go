package prove_test

import (
	"context"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/testdata/readback"
)

// TestRoundTrip writes captures into both containers, proves them, and reads
// the same captures back.
func TestRoundTrip(t *testing.T) {
	d := darwincore.Dataset{
		ID: "https://marrowcreek.example/frogs", Title: "Frogs of Marrow Creek", Description: "Frogs.", Licence: "CC BY 4.0", Language: "en",
		Creators: []darwincore.Person{{Given: "Ada", Family: "Wren"}}, CountryCode: "CA", Defaults: map[string]string{"institutionCode": "MCFS"},
	}
	var captures []*record.Capture
	for i := range 8 {
		v := func(term string, texts ...string) record.Value {
			return record.Value{Field: record.Of(term), Text: texts[i%len(texts)], Verbatim: texts[i%len(texts)] + "!"}
		}
		captures = append(captures, &record.Capture{Key: string(rune('a' + i)), Session: []string{"one", "two"}[i/4], Values: []record.Value{
			v("eventDate", "2021-06-12"), v("eventTime", "21:00", ""), v("scientificName", "Rana luteiventris", "Anaxyrus boreas"),
			v("locality", "Beaver Pond", "Beaver Pond", "Long Ditch"), v("sex", "male", "female", ""), v("samplingProtocol", "visual search"),
			v("samplingEffort", "2 h"), v("individualCount", "1"), v("organismID", "f1", "f2", "f3"), v("associatedOrganisms", "", "mate of f1"),
			v("catalogNumber", "c1", "c2", "c3", "c4"), v("recordedBy", "Ada Wren", "Éric Stone | Ada Wren"), v("associatedMedia", "1.jpg | call.wav", ""),
			v("decimalLatitude", "51.25"), v("decimalLongitude", "-116.5"), v("coordinateUncertaintyInMeters", "30"), v("preparations", "", "toe clip"),
			v("superfamily", "Ranoidea", ""),
		}, Readings: []record.Reading{
			{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", Replicate: 1}, Number: 71, Text: "71", Verbatim: "7.1 cm"},
			{Series: &record.Series{Measurement: "woundLength", Unit: "mm"}, State: record.Above, Number: 4, Text: "4"},
		}, Extras: []record.Extra{{Heading: "Weather", Text: []string{"rain", "dry"}[i%2]}}, Remarks: []string{"line one\nline two"}})
	}
	for i, c := range captures { // found nothing, found again, a piece kept
		switch i {
		case 3:
			c.Set(record.Value{Field: record.Of("occurrenceStatus"), Text: "absent"})
			c.Set(record.Value{Field: record.Of("individualCount"), Text: "0"})
		case 5:
			c.Set(record.Value{Field: record.Of("associatedOccurrences"), Text: darwincore.Relation("recapture of", "urn:a") + " | " + darwincore.Relation("seen with", "urn:b")})
			c.Set(record.Value{Field: record.Of("materialSampleID"), Text: "swab-5"})
		case 2, 4: // the number of a vial was used twice
			c.Set(record.Value{Field: record.Of("materialEntityID"), Text: "vial-2"})
			c.Set(record.Value{Field: record.Of("materialSampleID"), Text: "swab-2"})
			c.Set(record.Value{Field: record.Of("disposition"), Text: "in collection"})
		case 6:
			c.Set(record.Value{Field: record.Of("associatedOccurrences"), Text: "the pair of last week"})
		}
	}
	want := readback.Captures(captures, d, nil)
	dir := t.TempDir()
	if _, err := readback.Write(dir, d, nil, slices.Values(captures)); err != nil {
		t.Fatal(err)
	}
	if _, err := darwincore.WritePackage(dir, d, nil, slices.Values(captures)); err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	for name, read := range map[string]func(context.Context, string) (map[string]readback.Animal, error){
		darwincore.Zip: readback.Archive, darwincore.PackageFolder: readback.Package,
	} {
		got, err := read(ctx, filepath.Join(dir, name))
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s reads back otherwise: %v\n%s", name, err, diff)
		}
	}
	result, err := prove.Path(context.Background(), filepath.Join(dir, darwincore.PackageFolder), prove.Options{})
	if err != nil || need.Errors(result.Findings) > 0 {
		t.Errorf("%v, %v", err, result.Findings)
	}
}
