package readback

import "maps"

// events are the events of a package with the terms asserted of them.
type events struct {
	byID map[string]row
	said map[string]row
}

func (t tables) events() events {
	e := events{t.by("event", "eventID"), map[string]row{}}
	for _, r := range t["event-assertion"] {
		if e.said[r["eventID"]] == nil {
			e.said[r["eventID"]] = row{}
		}
		e.said[r["eventID"]][r["assertionType"]] = value(r)
	}
	protocols := t.by("protocol", "protocolID")
	for _, r := range t["event-protocol"] {
		e.byID[r["eventID"]]["samplingProtocol"] = protocols[r["protocolID"]]["protocolDescription"]
	}
	return e
}

// around returns the terms that an event and those around it say of an
// occurrence; the nearer event wins. The event of one capture is named by the
// session that it lies in.
func (e events) around(id string) map[string]string {
	terms := map[string]string{}
	session := id
	if e.byID[id]["eventCategory"] == "occurrence" {
		session = e.byID[id]["parentEventID"]
	}
	for ; id != ""; id = e.byID[id]["parentEventID"] {
		event := e.byID[id]
		if event["eventCategory"] == "survey" {
			maps.Copy(terms, e.said[id])
			terms["datasetID"], terms["datasetName"] = event["datasetID"], event["datasetName"]
			break
		}
		for k, v := range event {
			if _, nearer := terms[k]; !nearer {
				terms[k] = v
			}
		}
		maps.Copy(terms, e.said[id])
	}
	terms["eventID"], terms["parentEventID"] = session, e.byID[session]["parentEventID"]
	return terms
}
