package prove

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
)

// published compares the descriptor of a field with the one of the published
// table schema, where these were given.
func (d *describer) published(path, table string, f fieldDescriptor) {
	want := d.options.Descriptors.Field(table, f.Name)
	if want == nil {
		return
	}
	var has, should map[string]any
	if json.Unmarshal(f.raw, &has) != nil || json.Unmarshal(want, &should) != nil {
		return
	}
	var keys []string
	for key := range should {
		if !reflect.DeepEqual(has[key], should[key]) {
			keys = append(keys, key)
		}
	}
	if len(keys) == 0 {
		return
	}
	slices.Sort(keys)
	d.fault("descriptor-differs", path, f.Name, f.Name, "the descriptor differs from the published table schema: "+strings.Join(keys, ", "), "3.3")
}
