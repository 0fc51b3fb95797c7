package taxon

// Names returns the accepted names in the order of the file.
func (c *Checklist) Names() []string {
	var names []string
	if c != nil {
		for i := range c.entries {
			if e := &c.entries[i]; e.accepted == e {
				names = append(names, e.parsed.String())
			}
		}
	}
	return names
}
