package records_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/prove/records"
)

// said returns what the records of a container say of some terms, by identifier.
func said(t *testing.T, files map[string]string, terms ...string) map[string][]string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out := map[string][]string{}
	_, err := records.Each(context.Background(), dir, prove.Options{}, func(r *records.Record) error {
		row := []string{r.Kind}
		for _, term := range terms {
			row = append(row, r.Says(term))
		}
		if at := r.Cell(terms[0]); at.File != "" {
			row = append(row, at.String())
		}
		out[r.Says("id")] = row
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func same(t *testing.T, got map[string][]string, want map[string][]string) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%d records, want %d: %v", len(got), len(want), got)
	}
	for id, row := range want {
		for i, text := range row {
			if i >= len(got[id]) || got[id][i] != text {
				t.Errorf("%s: %q, want %q", id, got[id], row)
				break
			}
		}
	}
}

// An occurrence in an extension of an event core is judged with its event and
// those around that, and the events as rows of the core.
func TestEventCore(t *testing.T) {
	got := said(t, map[string]string{
		"meta.xml": `<archive xmlns="http://rs.tdwg.org/dwc/text/">
<core rowType="http://rs.tdwg.org/dwc/terms/Event" ignoreHeaderLines="1"><files><location>event.csv</location></files><id index="0"/>
<field index="0" term="http://rs.tdwg.org/dwc/terms/eventID"/><field index="1" term="http://rs.tdwg.org/dwc/terms/parentEventID"/><field index="2" term="http://rs.tdwg.org/dwc/terms/eventDate"/>
<field index="3" term="http://rs.tdwg.org/dwc/terms/country"/><field index="4" term="http://purl.org/dc/terms/type"/></core>
<extension rowType="http://rs.tdwg.org/dwc/terms/Occurrence" ignoreHeaderLines="1"><files><location>occurrence.csv</location></files><coreid index="0"/>
<field index="1" term="http://rs.tdwg.org/dwc/terms/occurrenceID"/><field index="2" term="http://rs.tdwg.org/dwc/terms/eventDate"/></extension></archive>`,
		"event.csv":      "eventID,parentEventID,eventDate,country,type\nseason,,2021,Canada,Event\nnight,season,2021-06-12,,Event\n",
		"occurrence.csv": "eventID,occurrenceID,eventDate\nnight,o1,\nnight,o2,2021-06-13\n",
	}, "eventDate", "country", "type")
	same(t, got, map[string][]string{
		"season": {"Event", "2021", "Canada", "Event", "event.csv, C2"},
		"night":  {"Event", "2021-06-12", "Canada", "Event", "event.csv, C3"},
		"o1":     {"Occurrence", "2021-06-12", "Canada", "", "event.csv, C3"},
		"o2":     {"Occurrence", "2021-06-13", "Canada", "", "occurrence.csv, C3"},
	})
}

// The tables of a data package are joined to their occurrences; a place is
// taken from one event only, and the time of a survey from none.
func TestPackage(t *testing.T) {
	field := func(name string) string {
		return `{"name":"` + name + `","title":"x","description":"x","type":"string","dcterms:isVersionOf":"x"}`
	}
	table := func(name string, fields ...string) string {
		text := ""
		for i, f := range fields {
			if i > 0 {
				text += ","
			}
			text += field(f)
		}
		return `{"name":"` + name + `","path":"` + name + `.csv","profile":"tabular-data-resource","mediatype":"text/csv","dialect":{"lineTerminator":"\n"},"schema":{"fields":[` + text + `]}}`
	}
	got := said(t, map[string]string{
		"datapackage.json": `{"profile":"http://rs.tdwg.org/dwc-dp/1.0/dwc-dp-profile.json","resources":[` +
			table("event", "eventID", "parentEventID", "eventCategory", "eventDate", "country", "decimalLatitude", "decimalLongitude") + "," +
			table("event-assertion", "eventID", "assertionTypeIRI", "assertionValue") + "," +
			table("occurrence", "occurrenceID", "eventID", "occurrenceStatus", "organismQuantity", "organismQuantityType") + "," +
			table("identification", "identificationID", "occurrenceID", "isAcceptedIdentification", "scientificName") + `]}`,
		"event.csv": "eventID,parentEventID,eventCategory,eventDate,country,decimalLatitude,decimalLongitude\n" +
			"s,,Survey,2020/2022,Canada,,\nn,s,Event,2021-06-12,,45,-78\nc,n,Occurrence,,,44,\nd,s,Event,,,,\n",
		"event-assertion.csv": "eventID,assertionTypeIRI,assertionValue\ns,http://rs.tdwg.org/dwc/terms/basisOfRecord,HumanObservation\n",
		"occurrence.csv":      "occurrenceID,eventID,occurrenceStatus,organismQuantity,organismQuantityType\no1,n,detected,1,individuals\no2,c,notDetected,,\no3,d,,,\n",
		"identification.csv":  "identificationID,occurrenceID,isAcceptedIdentification,scientificName\ni1,o1,false,Rana\ni2,o1,true,Rana luteiventris\n",
	}, "scientificName", "eventDate", "country", "decimalLatitude", "decimalLongitude", "basisOfRecord", "occurrenceStatus", "individualCount")
	same(t, got, map[string][]string{
		"o1": {"Occurrence", "Rana luteiventris", "2021-06-12", "Canada", "45", "-78", "HumanObservation", "present", "1", "identification.csv, D3"},
		"o2": {"Occurrence", "", "2021-06-12", "Canada", "44", "", "HumanObservation", "absent", ""},
		"o3": {"Occurrence", "", "", "Canada", "", "", "HumanObservation", "", ""},
	})
}
