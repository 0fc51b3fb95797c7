package pipeline_test

import (
	"context"
	"strings"
	"testing"

	"spadefoot/pipeline"
)

// An empty key says that nothing names the captures: one finding says so, no
// date is doubted for it, and identifiers stay when rows move.
func TestAKeyOfNothing(t *testing.T) {
	survey := strings.Replace(anySurvey, "    key: [recordNumber]\n", "    key: []\n", 1) +
		"    - {heading: No, term: recordNumber}\n    - {heading: Date, term: eventDate}\n    - {heading: Species, term: scientificName}\n    - {heading: Site, term: locality}\n"
	ids := func(rows ...string) []string {
		dir, out := t.TempDir(), t.TempDir()
		put(t, dir, "survey.yaml", survey)
		put(t, dir, "frogs.csv", "No,Date,Species,Site\n"+strings.Join(rows, "\n")+"\n")
		r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if n := r.Tally.ByRule["key-missing"]; n != 1 || r.Tally.ByRule["key-repeated"] != 0 {
			t.Errorf("findings by rule: %v", r.Tally.ByRule)
		}
		var all []string
		for _, o := range table(t, out, "darwin-core/occurrence.csv") {
			if o["eventDate"] == "" {
				t.Errorf("no date: %v", o)
			}
			all = append(all, o["occurrenceID"])
		}
		return all
	}
	one, two := ids("1,2023-05-01,Rana temporaria,Tern Slough", "1,2023-05-02,Rana temporaria,Tern Slough"), ids("1,2023-05-02,Rana temporaria,Tern Slough", "1,2023-05-01,Rana temporaria,Tern Slough")
	if len(one) != 2 || one[0] != two[1] || one[1] != two[0] || one[0] == one[1] {
		t.Errorf("identifiers %v, and %v with the rows exchanged", one, two)
	}
}
