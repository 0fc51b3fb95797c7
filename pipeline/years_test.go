package pipeline_test

import (
	"context"
	"path/filepath"
	"slices"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// A year that is not that of the date beside it is doubted once for all its rows, at
// the dates, whatever else is doubted of these, and not again in the archive.
func TestYearsThatAreNotThoseOfTheDates(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, observersHeader+`mapping:
  key: [recordNumber]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Species, term: scientificName}
    - {heading: Season, term: year}
    - {heading: Date, term: eventDate, dateOrder: mdy}
`, map[string]string{"frogs.csv": `No,Species,Season,Date
1,Rana temporaria,2023,12/18/23
2,Rana temporaria,2023,01/09/24
3,Rana temporaria,2023,01/10/24
4,Rana temporaria,2024,01/10/25
5,Rana temporaria,2024,05/10/24
`})
	var doubts []record.Finding
	_, err := pipeline.Run(context.Background(), dir, filepath.Join(t.TempDir(), "out"), pipeline.Options{OnResult: func(r *pipeline.Result) error {
		doubts = slices.DeleteFunc(slices.Clone(r.Findings), func(f record.Finding) bool {
			return f.Rule != "quality-validation" && f.Rule != "values-disagree"
		})
		return nil
	}})
	if err != nil {
		t.Fatal(err)
	}
	if len(doubts) != 2 || doubts[0].At.String() != "frogs.csv, D3" || len(doubts[0].Also) != 1 || doubts[0].Reason != `year "2023" does not match eventDate; 2 cells in all` || doubts[1].At.String() != "frogs.csv, D5" {
		t.Errorf("%+v", doubts)
	}
}
