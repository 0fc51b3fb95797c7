// Package mapping is the third stage: it gives each heading of a table its
// meaning.
//
// A mapping is a list of headings, each with one meaning: a Darwin Core term, a
// measurement with unit, instrument and replicate, a part of a weighing, or set
// aside on purpose. A heading is matched by its name, by one of its synonyms,
// or by a pattern, in this order; case, spaces and punctuation do not matter. A
// heading that nothing matches is a finding, and its cells go to
// dynamicProperties.
//
// The package reads mappings (Parse) and applies them (Apply, or Begin if the
// rows of a table come in chunks). It also guesses the meaning of headings and
// values that nobody has mapped yet (Guess).
package mapping
