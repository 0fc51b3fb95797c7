// Package config reads the YAML that people write for Spadefoot and holds it
// against a JSON Schema, so that a mistake is named the way a colleague would
// name it: the file, the line, the key, what was found, what is allowed, and
// the nearest allowed word.
//
// YAML keeps its lines in a node tree; gojsonschema speaks of key paths. The
// package keeps the tree beside the plain document and turns one into the
// other. Values from flags and the environment are laid over the file with
// viper before the check, so that they are checked too.
package config
