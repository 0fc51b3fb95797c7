// Package tablecheck holds a Darwin Core Data Package against the published
// profile and table schemas, for tests. It shares no code with what writes or
// proves packages: the profile goes through gojsonschema, the tables through a
// reader of its own that takes the published schemas as they are.
package tablecheck

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record/need"
)

// general is what the schema that the profile builds upon requires of it
// (Frictionless Data Package, version 1); the schema itself is not at hand
// offline.
const general = `{"type": "object", "required": ["resources"], "properties": {"resources": {"type": "array", "minItems": 1, "items":
	{"type": "object", "required": ["name", "path"], "properties": {"name": {"pattern": "^([-a-z0-9._/])+$"}, "path": {"type": "string", "pattern": "^[^./~][^\\\\]*$"}}}}}}`

// Profile holds the descriptor of a package against the published profile.
func Profile(t testing.TB, dir string) {
	t.Helper()
	profile, err := os.ReadFile(need.Shared(t, "standards/darwin-core/data-package/dwc-dp-profile.json"))
	if err != nil {
		t.Fatal(err)
	}
	loader := gojsonschema.NewSchemaLoader()
	if err := loader.AddSchema("https://specs.frictionlessdata.io/schemas/data-package.json", gojsonschema.NewStringLoader(general)); err != nil {
		t.Fatal(err)
	}
	schema, err := loader.Compile(gojsonschema.NewBytesLoader(profile))
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(filepath.Join(dir, darwincore.DescriptorFile))
	if err != nil {
		t.Fatal(err)
	}
	result, err := schema.Validate(gojsonschema.NewBytesLoader(b))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range result.Errors() {
		t.Error(e)
	}
	broken := strings.Replace(string(b), "tabular-data-resource", "data-resource", 1)
	if result, err := schema.Validate(gojsonschema.NewStringLoader(broken)); err != nil || result.Valid() {
		t.Errorf("the profile lets a wrong resource pass: %v", err)
	}
}
