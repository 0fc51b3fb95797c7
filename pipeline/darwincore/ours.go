package darwincore

import (
	"regexp"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore/tables"
)

// Ours reports whether an archive or a data package has a file of this name in
// its folder. Of other folders it knows nothing, and lets all pass.
func Ours(folder, name string) bool {
	switch folder {
	case Folder:
		return slices.Contains([]string{OccurrenceFile, MeasurementFile, MediaFile, MetaFile, EMLFile}, name) || shardName.MatchString(name)
	case PackageFolder:
		table, csv := strings.CutSuffix(name, ".csv")
		return name == DescriptorFile || name == EMLFile || csv && tables.Find(table) != nil
	}
	return true
}

var shardName = regexp.MustCompile(`^(occurrence|measurementorfact|media)-\d{5,}-of-\d{5,}\.csv\.gz$`)
