// Command pack writes the tables, schemas and texts that the program embeds into a
// folder, packed with gzip, and overlay.json, by which the compiler takes them
// in place of the plain ones. schemas.Folder reads both.
//
//	go run ./.release DIR
package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"log"
	"os"
	"path/filepath"
)

func main() {
	overlay := map[string]map[string]string{"Replace": {}}
	for _, pattern := range []string{"schemas/*.json", "schemas/*.csv", "schemas/rules/*.csv", "mappings/*.csv", "mappings/*.yaml", "cmd/spadefoot/help/*.txt", "pipeline/desk/web/*", "pipeline/forms/hints.csv", "pipeline/forms/page.html", "pipeline/report/*.html", "pipeline/report/plot/*.csv", "pipeline/report/agreement/page.html"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			log.Fatalf("%s: no file (%v); run this at the top of the checkout", pattern, err)
		}
		for _, name := range names {
			plain, err := filepath.Abs(name)
			if err != nil {
				log.Fatal(err)
			}
			packed := filepath.Join(os.Args[1], fmt.Sprint(len(overlay["Replace"])))
			if err := pack(plain, packed); err != nil {
				log.Fatal(err)
			}
			overlay["Replace"][plain] = packed
		}
	}
	text, err := json.Marshal(overlay)
	if err == nil {
		err = os.WriteFile(filepath.Join(os.Args[1], "overlay.json"), text, 0o644)
	}
	if err != nil {
		log.Fatal(err)
	}
}

func pack(from, to string) error {
	text, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return err
	}
	z.Write(text)
	if err := z.Close(); err != nil {
		return err
	}
	return os.WriteFile(to, b.Bytes(), 0o644)
}
