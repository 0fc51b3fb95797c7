package prove

import (
	"encoding/json"
	"sync"

	"spadefoot/schemas"
)

// model is what the published schemas of eml.xml and meta.xml require, as
// schemas/generate has drawn it from them.
type model struct {
	Roots  map[string]string      `json:"roots"`
	Types  map[string]*modelType  `json:"types"`
	Simple map[string]*modelValue `json:"simple"`
}

// modelType is the type of an element: elements in order, or text.
type modelType struct {
	Content *particle   `json:"content"`
	Mixed   bool        `json:"mixed"`
	Text    string      `json:"text"`
	Attrs   []modelAttr `json:"attrs"`
}

// particle is an element, a sequence, a choice or a wildcard, Min to Max times
// (-1: without bound).
type particle struct {
	Kind  string      `json:"k"`
	Name  string      `json:"n"`
	Space string      `json:"s"`
	Type  string      `json:"t"`
	Min   int         `json:"min"`
	Max   int         `json:"max"`
	Items []*particle `json:"i"`
}

type modelAttr struct {
	Name     string `json:"n"`
	Space    string `json:"s"`
	Type     string `json:"t"`
	Required bool   `json:"req"`
	Fixed    string `json:"fixed"`
}

// modelValue is the type of a text.
type modelValue struct {
	Base     string   `json:"base"`
	Values   []string `json:"values"`
	NonEmpty bool     `json:"nonEmpty"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
	OneOf    []string `json:"oneOf"`
	ListOf   string   `json:"listOf"`
}

// xmlModels reads the embedded table.
var xmlModels = sync.OnceValue(func() *model {
	m := &model{}
	return schemas.Must(m, json.Unmarshal(schemas.Must(schemas.Files.ReadFile("xml_models.json")), m))
})
