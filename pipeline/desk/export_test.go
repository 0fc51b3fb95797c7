package desk

import (
	"context"
	"slices"
)

// Foretold is what the list of doubts counts, and the causes that it shows, after a
// decision that no walk has seen.
func (d *Desk) Foretold(ctx context.Context, decided string) (errors, warnings int, causes []string, err error) {
	all, l, err := d.causes(ctx)
	if err != nil {
		return 0, 0, nil, err
	}
	left := slices.DeleteFunc(slices.Clone(all), func(c *cause) bool { return c.ID == decided })
	for _, c := range left {
		causes = append(causes, c.ID)
	}
	errors, warnings = l.doubtsLeft(left)
	return errors, warnings, causes, nil
}
