package schemas

import _ "embed"

// Boundaries holds the boundaries of countries: Natural Earth 1:10 000 000
// (public domain) from npm's world-atlas 2.0.2, in the format that
// boundaries/convert.go describes and writes.
//
//go:embed boundaries/countries.bin.gz
var Boundaries []byte
