package prove

import "slices"

// keyValues are the values of one key.
type keyValues struct {
	sorted *runs  // those that have to be compared with others
	order  *trail // all of them, if other tables point at them
	beside *walk  // along the values that a foreign key points at
	found  []byte // the value last found there
}

// take takes the value of a row, unless it is found beside.
func (v *keyValues) take(text []byte, at place) error {
	if v.beside != nil && len(v.found) > 0 && string(v.found) == string(text) {
		return nil
	}
	k := keyOf(text)
	if v.beside != nil {
		found, err := v.beside.follow(k)
		if err != nil {
			return err
		}
		if found {
			v.found = append(v.found[:0], text...)
			return nil
		}
	}
	if v.order != nil {
		if err := v.order.add(k); err != nil {
			return err
		}
	}
	return v.sorted.add(k, at)
}

// close drops what is on disk.
func (v *keyValues) close() {
	v.sorted.close()
	if v.order != nil {
		v.order.close()
	}
}

// settle puts what is held of a table on disk, so that one table at a time is
// in memory.
func (k *keyed) settle() error {
	for _, v := range append(k.foreign, k.primary) {
		if err := v.sorted.settle(); err != nil {
			return err
		}
	}
	return nil
}

// keysHold checks that primary keys are unique and foreign keys resolve.
func (p *prover) keysHold(k *keyed, all map[string]*keyed) error {
	column := func(name string) int {
		return slices.IndexFunc(k.resource.Schema.Fields, func(f fieldDescriptor) bool { return f.Name == name })
	}
	if len(k.resource.Schema.PrimaryKey) == 1 {
		k.entity.id = column(k.resource.Schema.PrimaryKey[0])
		err := p.pointed(k.entity, "key-twice", k.resource.Schema.PrimaryKey[0], packageGuide+"3.3", k.primary.sorted.duplicates,
			func(first string) string { return "the key is also in " + first })
		if err != nil {
			return err
		}
	}
	for i, f := range k.resource.Schema.ForeignKeys {
		target := k
		if f.Reference.Resource != "" {
			target = all[f.Reference.Resource]
		}
		if target == nil || len(f.Fields) != 1 || target.partial || !slices.Equal(f.Reference.Fields, target.resource.Schema.PrimaryKey) {
			continue
		}
		k.entity.id = column(f.Fields[0])
		err := p.pointed(k.entity, "key-lost", f.Fields[0], packageGuide+"3.3", func(report func(at, first place)) error {
			return k.foreign[i].sorted.orphans(target.primary.sorted, func(at place) { report(at, at) })
		}, func(string) string { return "the table " + target.resource.Name + " has no row with this key" })
		if err != nil {
			return err
		}
	}
	return nil
}
