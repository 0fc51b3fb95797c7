package pipeline_test

import (
	"os/exec"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/record/need"
)

// validArchive holds meta.xml and eml.xml against their published schemas: the
// Darwin Core text guide's and that of EML 2.2.0.
func validArchive(t *testing.T, dir string) {
	t.Helper()
	lint := need.Tool(t, "xmllint")
	for file, schema := range map[string]string{
		"meta.xml": "standards/darwin-core/xml/tdwg_dwc_text.xsd",
		"eml.xml":  "standards/eml/eml.xsd",
	} {
		out, err := exec.Command(lint, "--nonet", "--noout", "--schema", need.Shared(t, schema), filepath.Join(dir, file)).CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v\n%s", file, err, out)
		}
	}
}
