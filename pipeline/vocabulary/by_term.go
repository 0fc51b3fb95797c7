package vocabulary

import (
	"spadefoot/schemas"
	"sync"
)

// ByTerm returns the controlled vocabularies by the term that they belong to.
var ByTerm = sync.OnceValue(func() map[string]*List {
	out := map[string]*List{}
	for term, name := range map[string]string{
		"sex": "sex", "lifeStage": "life_stage", "basisOfRecord": "basis_of_record",
		"occurrenceStatus": "occurrence_status", "establishmentMeans": "establishment_means",
		"degreeOfEstablishment": "degree_of_establishment", "reproductiveCondition": "reproductive_condition",
		"vitality": "vitality",
	} {
		out[term] = schemas.Must(Load(name))
	}
	return out
})
