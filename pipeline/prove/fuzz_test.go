package prove

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// FuzzReadTree checks that no XML text, however odd, gives more than a tree or
// an error, and that a tree can be judged.
func FuzzReadTree(f *testing.F) {
	for _, name := range []string{"meta.xml", "eml.xml"} {
		b, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b))
	}
	f.Add(`<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>`)
	f.Fuzz(func(t *testing.T, text string) {
		root, err := readTree(strings.NewReader(text))
		if err != nil {
			return
		}
		if strings.Contains(text, "<!DOCTYPE") && !strings.Contains(text, "<!--") && !strings.Contains(text, "CDATA") && !strings.Contains(text, "<?") {
			t.Errorf("a document type declaration passed: %q", text)
		}
		p := &prover{}
		reader := metaReader{file: "meta.xml", found: &p.found, level: p.level}
		reader.read(root)
		p.metaSchema(root, "meta.xml")
		p.eml(root, "eml.xml")
	})
}

// FuzzJSONLines checks that the lines of a JSON text rise to no more than it
// has.
func FuzzJSONLines(f *testing.F) {
	f.Add("{\n\"a\": [1,\n2]}")
	f.Fuzz(func(t *testing.T, text string) {
		lines, err := jsonLines([]byte(text))
		if err != nil {
			return
		}
		for path, n := range lines {
			if n < 1 || n > strings.Count(text, "\n")+1 {
				t.Errorf("%q stands on line %d of %q", path, n, text)
			}
		}
	})
}
