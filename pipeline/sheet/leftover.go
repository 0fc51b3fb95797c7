package sheet

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
)

// leftovers are files that programs leave in folders beside the sheets, by how
// their names begin and end, in small letters, or by the whole name (common
// practice).
var leftovers = []struct {
	begins, ends string
	whole        bool
	what         string
}{
	{"~$", "", false, "the mark of a spreadsheet program that a workbook is open"},
	{".~lock.", "#", false, "the mark of a spreadsheet program that a sheet is open"},
	{"._", "", false, "what a file browser keeps about another file"},
	{".ds_store", "", true, "what a file browser keeps about the folder"},
	{"thumbs.db", "", true, "what a file browser keeps about the folder"},
	{"desktop.ini", "", true, "what a file browser keeps about the folder"},
}

// Leftover says what a file is that a program left beside the sheets, by its
// name; "" for any other. Folders before the name may be parted by either slash.
func Leftover(file string) string {
	name := strings.ToLower(file[strings.LastIndexAny(file, `/\`)+1:])
	for _, l := range leftovers {
		if strings.HasPrefix(name, l.begins) && strings.HasSuffix(name, l.ends) && (!l.whole || name == l.begins) {
			return l.what
		}
	}
	return ""
}

// LeftAlone notes that a file was not read because a program left it there.
func LeftAlone(file string) record.Finding {
	return record.Finding{Rule: ruleLeftAlone, Level: record.Note, At: record.Address{File: file},
		Reason: fmt.Sprintf("this is %s and not a sheet: it was left alone", Leftover(file))}
}

// Unread is the finding on a file that could not be read, and that the others
// were taken without.
func Unread(file, reason string) record.Finding {
	return record.Finding{Rule: ruleUnread, Level: record.Error, At: record.Address{File: file}, Reason: reason}
}
