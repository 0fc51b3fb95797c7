package need

import (
	"os"
	"testing"
)

// Named returns the path that an environment variable holds, such as that of a
// schema which a package of another language carries. .ci/run sets it.
func Named(t testing.TB, variable string) string {
	t.Helper()
	path := os.Getenv(variable)
	if path == "" {
		missing(t, "needs a path in $"+variable)
	}
	if _, err := os.Stat(path); err != nil {
		t.Fatalf("$%s: %v", variable, err)
	}
	return path
}
