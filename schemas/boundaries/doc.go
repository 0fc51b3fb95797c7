// Package boundaries is nothing but the programs that made the embedded
// boundaries and names of countries; each says how it is run.
package boundaries
