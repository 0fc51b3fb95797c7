// Package digest hashes texts to numbers that are the same in every run, for
// choosing a sample, grouping and finding equal texts: 64-bit FNV-1a (Fowler,
// Noll and Vo), with the finish of SplitMix64 (Steele, Lea and Flood 2014)
// where all bits must count. The hashes are not cryptographic.
package digest

// Digest is that of what was taken in so far.
type Digest uint64

// Start is the digest of nothing.
const Start Digest = 14695981039346656037

const prime = 1099511628211

// Text takes a text in.
func (d Digest) Text(s string) Digest {
	for i := range len(s) {
		d = (d ^ Digest(s[i])) * prime
	}
	return d
}

// Byte takes one byte in, such as a mark between texts.
func (d Digest) Byte(b byte) Digest { return (d ^ Digest(b)) * prime }

// Spread mixes a number so that its bits are all alike.
func Spread(h uint64) uint64 {
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return h ^ h>>31
}
