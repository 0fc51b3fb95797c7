package prove

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// metaFindings returns what is wrong with a metafile by itself.
func metaFindings(t *testing.T, text string) []record.Finding {
	t.Helper()
	root, err := readTree(strings.NewReader(text))
	if err != nil {
		return []record.Finding{{Rule: "xml-malformed", Level: record.Error, Reason: err.Error()}}
	}
	p := &prover{}
	reader := metaReader{file: "meta.xml", found: &p.found, level: p.level}
	reader.read(root)
	p.metaSchema(root, "meta.xml")
	return p.found.sorted()
}

// TestGuideExamples accepts the metafiles that the text guide itself shows.
func TestGuideExamples(t *testing.T) {
	b, err := os.ReadFile(need.Shared(t, "standards/darwin-core/text-guide.md"))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, block := range regexp.MustCompile("(?s)```xml\n(.*?)```").FindAllStringSubmatch(string(b), -1) {
		if !strings.Contains(block[1], "<archive") {
			continue
		}
		n++
		for _, f := range metaFindings(t, block[1]) {
			if f.Level == record.Error {
				t.Errorf("example %d: %s: %s %s", n, f.Rule, f.Reason, f.Value)
			}
		}
	}
	if n != 2 {
		t.Errorf("%d examples of metafiles in the guide, want 2", n)
	}
}
