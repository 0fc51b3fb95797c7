package season

import "strings"

// end is behind each word of a key: it sorts before all that a word may
// hold.
const end = "\x00"

// appendWords adds words to a key.
func appendWords(key []byte, words ...string) []byte {
	for _, w := range words {
		if strings.Contains(w, end) {
			w = strings.ReplaceAll(w, end, " ")
		}
		key = append(append(key, w...), end...)
	}
	return key
}

// cutWords returns the n words of a key.
func cutWords(key string, n int) []string {
	return strings.SplitN(key, end, n+1)[:n]
}
