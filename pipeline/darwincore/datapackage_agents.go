package darwincore

import (
	"strings"

	"spadefoot/pipeline/darwincore/terms"
)

// agents knows the people of a package: those of the dataset by name, others
// as they come up.
type agents struct {
	byName map[string]string // name to identifier
	name   map[string]string // identifier to name
	kind   map[string]string // identifier to person, organization or position
	order  []string          // identifiers as they came up
}

// learn takes the people of the dataset, so that they are identified by
// their ORCID iDs. They are written only where the captures name them.
func (a *agents) learn(d *Dataset) {
	a.byName, a.name, a.kind = map[string]string{}, map[string]string{}, map[string]string{}
	for _, g := range d.people() {
		for _, p := range g.people {
			id := AgentID(d.ID, p.Name())
			if o, err := terms.ORCID(p.ORCID); err == nil {
				id = orcidURL + o
			}
			if _, known := a.byName[p.Name()]; !known {
				a.byName[p.Name()] = id
			}
			if p.Family == "" {
				a.kind[id] = "organization"
			}
		}
	}
}

// people returns the identifiers of the people that a cell names, with " | "
// between them, by the identifiers beside them if there are as many.
func (p *Package) people(names, ids string) []string {
	var out []string
	list, given := split(names), split(ids)
	if len(list) == 0 {
		list = given
	}
	for i, name := range list {
		id := p.agents.byName[name]
		if len(given) == len(list) {
			id = given[i]
			if o, err := terms.ORCID(id); err == nil {
				id = orcidURL + o
			}
		}
		if id == "" {
			id = AgentID(p.dataset.ID, name)
		}
		p.agents.byName[name] = id
		if _, known := p.agents.name[id]; !known {
			p.agents.name[id] = name
			p.agents.order = append(p.agents.order, id)
		}
		out = append(out, id)
	}
	return out
}

func split(list string) []string {
	var out []string
	for _, s := range strings.Split(list, "|") {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// writeAgents writes everyone whom the captures name.
func (p *Package) writeAgents() {
	for _, id := range p.agents.order {
		kind := firstOf(p.agents.kind[id], "person")
		p.put("agent", Field{"agentID", id}, Field{"agentType", kind}, Field{"preferredAgentName", p.agents.name[id]})
	}
}
