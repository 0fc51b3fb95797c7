package darwincore

import (
	"crypto/sha1"
	"sync/atomic"

	"github.com/google/uuid"

	"spadefoot/pipeline/record"
)

// OccurrenceID is the identifier of the capture with this key: the UUID of
// version 5 (RFC 9562) of the key, in the namespace of the dataset, which is
// itself the version 5 UUID of the dataset's identifier in the namespace for
// URLs.
func OccurrenceID(datasetID, key string) string { return named(datasetID, key) }

// EventID is the identifier of the session of this name. The empty name is
// the survey as a whole, the parent of all its sessions.
func EventID(datasetID, session string) string { return eventIn(spaceOf(datasetID), session) }

func eventIn(space uuid.UUID, session string) string {
	return version5(space, "event\x1f"+session).String()
}

// AgentID is the identifier of a person of this name.
func AgentID(datasetID, name string) string { return named(datasetID, "agent\x1f"+name) }

// ProtocolID is the identifier of a way of working of this description.
func ProtocolID(datasetID, text string) string { return named(datasetID, "protocol\x1f"+text) }

func named(datasetID, name string) string { return version5(spaceOf(datasetID), name).String() }

// spaceOf is the namespace of what belongs to a dataset. It is asked about one dataset
// again and again.
func spaceOf(datasetID string) uuid.UUID {
	last := lastSpace.Load()
	if last == nil || last.of != datasetID {
		last = &space{datasetID, version5(uuid.NameSpaceURL, datasetID)}
		lastSpace.Store(last)
	}
	return last.UUID
}

var lastSpace atomic.Pointer[space]

type space struct {
	of string
	uuid.UUID
}

// version5 is the UUID of version 5 of a name in a space (RFC 9562, 5.5). It is
// worked out here since the library makes a new hash for each name.
func version5(space uuid.UUID, name string) uuid.UUID {
	var buf [256]byte
	sum := sha1.Sum(append(append(buf[:0], space[:]...), name...))
	id := uuid.UUID(sum[:16])
	id[6] = id[6]&0x0f | 5<<4
	id[8] = id[8]&0x3f | 0x80
	return id
}

// identity is the identifier under which a capture is published: the one that
// the sheet gives, else the one of the capture, else one made from its key.
func (s *RowWriter) identity(c *record.Capture) string {
	if id := s.get(foundOccurrence); id != "" {
		return id
	}
	if c.ID != "" {
		return c.ID
	}
	return version5(s.builder.space, c.Key).String()
}
