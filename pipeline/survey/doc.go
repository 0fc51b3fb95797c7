// Package survey reads survey.yaml, the description of one survey folder: the
// data set, the survey period, the instruments, the tables beside the sheets,
// the sheets with their mappings, the rules, and the archive's options.
//
// Every single-valued key can also come from the environment (dataset.title
// from SPADEFOOT_DATASET_TITLE) and some from flags: flag > environment > file
// > default. The merged result is checked against survey.schema.json.
package survey
