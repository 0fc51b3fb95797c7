package tables

import (
	"encoding/json"
	"fmt"
	"io/fs"
)

// Descriptors are the descriptors of fields as they are published, by table and
// field, as JSON. The zero value has none.
type Descriptors map[string]map[string]json.RawMessage

// Field returns the descriptor of a field, or nil.
func (d Descriptors) Field(table, field string) json.RawMessage { return d[table][field] }

// ReadDescriptors reads the table schemas of a folder, one a file (event.json,
// occurrence.json and so on, Darwin Core Data Package guide, section 3.3). A
// folder that describes no table is an error.
func ReadDescriptors(folder fs.FS) (Descriptors, error) {
	names, err := fs.Glob(folder, "*.json")
	if err != nil {
		return nil, err
	}
	out := Descriptors{}
	for _, name := range names {
		text, err := fs.ReadFile(folder, name)
		if err != nil {
			return nil, err
		}
		var schema struct {
			Name   string            `json:"name"`
			Fields []json.RawMessage `json:"fields"`
		}
		if err := json.Unmarshal(text, &schema); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if Find(schema.Name) == nil {
			continue // of something else
		}
		fields := map[string]json.RawMessage{}
		for _, raw := range schema.Fields {
			var f struct {
				Name string `json:"name"`
			}
			if err := json.Unmarshal(raw, &f); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			fields[f.Name] = raw
		}
		out[schema.Name] = fields
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("it holds no table schema of the Darwin Core Data Package; want files such as event.json and occurrence.json")
	}
	return out, nil
}
