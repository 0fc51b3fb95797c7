package vocabulary

import "sync"

// ByTerm returns the controlled vocabularies by the term that they belong to.
var ByTerm = sync.OnceValues(func() (map[string]*List, error) {
	out := map[string]*List{}
	for term, name := range map[string]string{
		"sex": "sex", "lifeStage": "life_stage", "basisOfRecord": "basis_of_record",
		"occurrenceStatus": "occurrence_status", "establishmentMeans": "establishment_means",
		"degreeOfEstablishment": "degree_of_establishment", "reproductiveCondition": "reproductive_condition",
		"vitality": "vitality",
	} {
		l, err := Load(name)
		if err != nil {
			return nil, err
		}
		out[term] = l
	}
	return out, nil
})
