package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	shared := flag.String("shared", "../shared", "folder that holds standards/")
	out := flag.String("out", "schemas", "folder that the tables are written to")
	flag.Parse()
	if err := run(*shared, *out); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

// tables maps each file that is written to what makes it.
var tables = map[string]func(shared string) ([]byte, error){
	"darwin_core_terms.csv":   darwinCoreTerms,
	"darwin_core_values.csv":  darwinCoreValues,
	"xml_models.json":         xmlModels,
	"data_package_fields.csv": packageFields,
	"data_package_keys.csv":   packageKeys,
}

func run(shared, out string) error {
	for name, make := range tables {
		b, err := make(shared)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		path := filepath.Join(out, name)
		if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, b) {
			continue
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			return err
		}
	}
	return nil
}
