package schemas

import _ "embed"

// Zones holds the time zones of the IANA database 2025c (public domain) as Go 1.26.8
// carries them in lib/time/zoneinfo.zip, packed with gzip. They are read in place
// of the system's, so that the same sheets have the same bytes on every machine.
//
//go:generate sh -c "gzip -9n < $(go env GOROOT)/lib/time/zoneinfo.zip > zones.zip.gz"
//go:embed zones.zip.gz
var Zones []byte
