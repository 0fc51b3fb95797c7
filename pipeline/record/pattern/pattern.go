// Package pattern has regular expressions that are compiled when they are first asked
// for: most runs ask for few of the hundred that there are.
package pattern

import (
	"regexp"
	"sync"
)

// Of returns what gives the regular expression of a text.
func Of(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}
