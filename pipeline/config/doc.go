// Package config reads the YAML that people write for Spadefoot and checks it
// against a JSON Schema. It reports a mistake as a colleague would: the file,
// the line, the key, what was found, what is allowed, and the nearest allowed
// word.
//
// YAML keeps its lines in a node tree; gojsonschema reports key paths. The
// package keeps the tree beside the plain document and translates one into the
// other. Values from flags and the environment are merged over the file with
// viper before the check, so they are checked too.
package config
