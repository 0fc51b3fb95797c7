package tables_test

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/darwincore/tables"
)

func ExampleFind() {
	t := tables.Find("occurrence")
	fmt.Println(t.Primary, t.Key("eventID").Resource, t.Field("sex").Type)
	// Output: occurrenceID event string
}

// TestKeysHold checks that every key names fields that are there, and that
// every foreign key points at a primary key.
func TestKeysHold(t *testing.T) {
	if len(tables.All()) < 20 {
		t.Fatalf("%d tables", len(tables.All()))
	}
	for _, v := range tables.All() {
		if !tables.Reserved(v.Name) {
			t.Errorf("%s is no reserved name", v.Name)
		}
		if v.Primary != "" && v.Field(v.Primary) == nil {
			t.Errorf("%s has no field %s", v.Name, v.Primary)
		}
		for _, k := range v.Foreign {
			target := v
			if k.Resource != "" {
				target = tables.Find(k.Resource)
			}
			if v.Field(k.Field) == nil || target != nil && target.Primary != k.Reference {
				t.Errorf("%s: key %+v", v.Name, k)
			}
		}
	}
}

func TestMisfit(t *testing.T) {
	event := tables.Find("event")
	for _, c := range []struct {
		field, text string
		fits        bool
	}{
		{"decimalLatitude", "51.25", true}, {"decimalLatitude", "", true}, {"decimalLatitude", "91", false}, {"decimalLatitude", "51,2", false},
		{"month", "6", true}, {"month", "13", false}, {"month", "6.0", false}, {"locality", "anything", true},
		{"coordinateUncertaintyInMeters", "0", false},
	} {
		if why := event.Field(c.field).Misfit(c.text); (why == "") != c.fits {
			t.Errorf("%s %q: %s", c.field, c.text, why)
		}
	}
}
