// Command valid holds a list of modules against the published schema of
// CycloneDX, whose files npm's @cyclonedx/cyclonedx-library carries, and against
// the modules that a program says it was built of.
//
//	go run ./.release/valid SCHEMAS LIST PROGRAM
package main

import (
	"debug/buildinfo"
	"encoding/json"
	"errors"
	"fmt"
	"log"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/xeipuuv/gojsonschema"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 4 {
		log.Fatal("usage: go run ./.release/valid SCHEMAS LIST PROGRAM")
	}
	schemas, list, program := os.Args[1], os.Args[2], os.Args[3]
	if err := valid(schemas, list); err != nil {
		log.Fatalf("%s: %v", list, err)
	}
	if err := complete(list, program); err != nil {
		log.Fatalf("%s beside %s: %v", list, program, err)
	}
}

// bom is what is read of a list.
type bom struct {
	SpecVersion string
	Components  []struct{ Name, Version string }
}

func read(list string) (text []byte, b bom, err error) {
	if text, err = os.ReadFile(list); err == nil {
		err = json.Unmarshal(text, &b)
	}
	return text, b, err
}

// valid holds a list against the schema of the version that it names.
func valid(schemas, list string) error {
	text, b, err := read(list)
	if err != nil {
		return err
	}
	const suffix = ".SNAPSHOT.schema.json"
	loader := gojsonschema.NewSchemaLoader()
	for _, name := range []string{"spdx", "jsf-0.82"} { // the schema refers to them by these names
		part, err := os.ReadFile(filepath.Join(schemas, name+suffix))
		if err != nil {
			return err
		}
		if err := loader.AddSchema("http://cyclonedx.org/schema/"+name+suffix, gojsonschema.NewBytesLoader(part)); err != nil {
			return err
		}
	}
	whole, err := os.ReadFile(filepath.Join(schemas, "bom-"+b.SpecVersion+suffix))
	if err != nil {
		return err
	}
	schema, err := loader.Compile(gojsonschema.NewBytesLoader(whole))
	if err != nil {
		return err
	}
	result, err := schema.Validate(gojsonschema.NewBytesLoader(text))
	if err != nil {
		return err
	}
	var all []error
	for _, e := range result.Errors() {
		all = append(all, errors.New(e.String()))
	}
	return errors.Join(all...)
}

// complete tells which modules are in the list and not in the program, or in
// the program only.
func complete(list, program string) error {
	_, b, err := read(list)
	if err != nil {
		return err
	}
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return err
	}
	in := map[string]string{"std " + info.GoVersion: "the program only"}
	for _, m := range info.Deps {
		in[m.Path+" "+m.Version] = "the program only"
	}
	for _, c := range b.Components {
		module := c.Name + " " + c.Version
		if in[module] == "" {
			in[module] = "the list only"
		} else {
			delete(in, module)
		}
	}
	var all []error
	for _, module := range slices.Sorted(maps.Keys(in)) {
		all = append(all, fmt.Errorf("%s is in %s", module, in[module]))
	}
	return errors.Join(all...)
}
