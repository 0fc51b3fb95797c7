// Package boundaries contains only the programs that made the embedded
// boundaries and names of countries; each says how to run it.
package boundaries
