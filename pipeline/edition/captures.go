package edition

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/lines"
)

// capturesFile is the table of captures of a run.
const capturesFile = "captures.csv"

// captures are those of one run.
type captures struct {
	files []string
	all   []captured // by identifier
}

// captured is one capture.
type captured struct {
	id    uint64 // digest of its occurrenceID
	cells uint64 // digest of what is published of it, and of what was written otherwise
	file  int    // in captures.files
}

// needed are the columns that a table of captures cannot be compared without.
var needed = []string{"capture", "file", "sheet", "row", "occurrenceID"}

// readCaptures reads a table of captures. Names are those of captures whose key
// is only their address; each that is found is given a name made from its
// identifier, which stays when rows move.
func readCaptures(path string, names map[string]string) (captures, error) {
	f, err := output.OpenPlain(path)
	if err != nil {
		return captures{}, err
	}
	defer f.Close()
	cs, err := digestCaptures(csv.NewReader(f), names)
	if err != nil {
		return cs, fmt.Errorf("%s: %w", path, err)
	}
	return cs, nil
}

func digestCaptures(r *csv.Reader, names map[string]string) (cs captures, err error) {
	r.ReuseRecord = true
	heading, err := r.Read()
	if err != nil {
		return cs, err
	}
	at := map[string]int{}
	for i, h := range heading {
		at[h] = i
	}
	for _, need := range needed {
		if _, ok := at[need]; !ok {
			return cs, fmt.Errorf("it has no column %s", need)
		}
	}
	columns := columnsOf(heading)
	files := map[string]int{}
	for {
		line, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return cs, err
		}
		id := strings.TrimPrefix(line[at["occurrenceID"]], "urn:uuid:") // as it was written until 2026-11-29
		file := lines.Armed(line[at["file"]])
		n, there := files[file]
		if !there {
			n = len(cs.files)
			file = strings.Clone(file)
			files[file], cs.files = n, append(cs.files, file)
		}
		cs.all = append(cs.all, captured{id: uint64(digest.Start.Text(id)), cells: digestOf(columns, line), file: n})
		if key := lines.Armed(line[at["capture"]]); len(names) > 0 && strings.HasPrefix(key, "(") {
			row, _ := strconv.Atoi(line[at["row"]])
			where := record.Address{File: file, Sheet: lines.Armed(line[at["sheet"]]), Row: row}
			if _, asked := names[key]; asked && key == "("+where.String()+")" {
				names[key] = "(no key, " + id + ")"
			}
		}
	}
	slices.SortFunc(cs.all, func(a, b captured) int { return cmp.Compare(a.id, b.id) })
	return cs, nil
}

// column is one that says something of a capture.
type column struct {
	at        int
	heading   digest.Digest
	published int // where what was written in this column is published; -1 in all other columns
}

const asWritten = " as written"

// columnsOf returns the columns to compare. Not compared is what says where a
// capture is written, or how it compares with the whole survey.
func columnsOf(heading []string) (out []column) {
	for i, h := range heading {
		switch h {
		case "capture", "file", "sheet", "row", "errors", "warnings", "occurrenceID":
			continue
		}
		if strings.HasPrefix(h, infer.ScaledMassIndex) || strings.HasPrefix(h, infer.ConditionResidual) {
			continue
		}
		c := column{at: i, heading: digest.Start.Text(h).Byte(0x1f), published: -1}
		if name, ok := strings.CutSuffix(h, asWritten); ok {
			c.published = slices.IndexFunc(heading, func(h string) bool { return h == name || strings.HasPrefix(h, name+" (") })
		}
		out = append(out, c)
	}
	return out
}

// digestOf is the digest of a row, the same in tables with other columns: blank
// cells do not count, nor does what was written just as it is published, since
// a table has a column for it only where it differs for some capture.
func digestOf(columns []column, line []string) (sum uint64) {
	for _, c := range columns {
		text := line[c.at]
		if text == "" || c.published >= 0 && text == line[c.published] {
			continue
		}
		sum += digest.Spread(uint64(c.heading.Text(lines.Armed(text))))
	}
	return sum
}
