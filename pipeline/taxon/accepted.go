package taxon

// Accepted gives the rows of accepted names in the order of the file, for lists
// that people choose from. The caller may change them.
func (c *Checklist) Accepted() []Entry {
	var out []Entry
	if c != nil {
		for i := range c.entries {
			if e := &c.entries[i]; e.accepted == e {
				out = append(out, *e)
			}
		}
	}
	return out
}
