package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
	"spadefoot/pipeline/record/held"
)

// Options settle what would otherwise be found out from the content.
type Options struct {
	Encoding  string   // IANA name or a common alias, for text; "" = find out
	Separator rune     // for text; 0 = find out
	Tabs      []string // tabs of a workbook to read; nil = all
	Budgets   budget.Budgets
}

// Read reads every sheet of a file. name is the path used in addresses,
// relative to the survey folder; path is where the file is. A text file gives
// one sheet with no name, a workbook one for each tab that holds cells of its
// own (charts are passed over). The findings are in the order of
// record.SortFindings. Any error is an *Error.
func Read(name, path string, o Options) ([]record.Sheet, []record.Finding, error) {
	f, size, err := open(name, path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	return readFrom(name, f, size, o)
}

// readFrom is Read for a file that is open already.
func readFrom(name string, f io.ReaderAt, size int64, o Options) (sheets []record.Sheet, found []record.Finding, err error) {
	k, err := sniff(name, f, size)
	if err != nil {
		return nil, nil, err
	}
	switch k {
	case textKind:
		var one record.Sheet
		if len(o.Tabs) > 0 {
			return nil, nil, tabsOfText(name)
		}
		one, found, err = ReadText(name, io.NewSectionReader(f, 0, size), o)
		sheets = []record.Sheet{one}
	case xlsxKind:
		sheets, found, err = readXLSX(name, f, size, o)
	case xlsKind:
		sheets, found, err = readXLS(name, f, size, o)
	case odsKind:
		sheets, found, err = readODS(name, f, size, o)
	}
	if err != nil {
		return nil, nil, err
	}
	if k != textKind && !slices.ContainsFunc(sheets, func(s record.Sheet) bool { return len(s.Rows) > 0 }) {
		return nil, nil, &Error{File: name, Cause: "every cell is blank", Advice: "check that this is the right file and was saved"}
	}
	found = append(found, mismatch(name, k)...)
	record.SortFindings(found)
	return sheets, found, nil
}

// IsText reports whether the file is separated text, which Open can read.
func IsText(name, path string) (bool, error) {
	f, size, err := open(name, path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	k, err := sniff(name, f, size)
	return err == nil && k == textKind, err
}

// Readable says why a file is not read: that it is not there, lies outside the
// survey folder, or is not a regular file with something in it.
func Readable(name, path string) error {
	f, _, err := open(name, path)
	if err == nil {
		err = f.Close()
	}
	return err
}

var extensions = map[string]kind{
	".csv": textKind, ".tsv": textKind, ".tab": textKind, ".txt": textKind, ".psv": textKind,
	".xlsx": xlsxKind, ".xlsm": xlsxKind, ".xltx": xlsxKind, ".xls": xlsKind, ".xlt": xlsKind,
	".ods": odsKind, ".ots": odsKind,
}

// Supported reports whether the name has the extension of a kind that Read
// reads.
func Supported(name string) bool {
	_, ok := extensions[strings.ToLower(path.Ext(name))]
	return ok
}

// mismatch notes an extension that promises another kind than was found.
func mismatch(name string, k kind) []record.Finding {
	ext := path.Ext(name)
	want, known := extensions[strings.ToLower(ext)]
	if !known || want == k {
		return nil
	}
	return []record.Finding{{Rule: ruleKind, Level: record.Note, At: record.Address{File: name}, Value: ext,
		Reason: fmt.Sprintf("the extension says %s, but the content is %s; it was read as that", want, k)}}
}

// open opens a regular file that lies within the survey folder and holds
// something. The survey folder is what is left of path before name.
func open(name, path string) (*os.File, int64, error) {
	if !filepath.IsLocal(filepath.FromSlash(name)) {
		return nil, 0, &Error{File: name, Cause: "the path leads out of the survey folder", Advice: "copy the file into the folder and name it from there"}
	}
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return nil, 0, openError(name, path, err)
	}
	if root, ok := strings.CutSuffix(filepath.Clean(path), filepath.Clean(filepath.FromSlash(name))); ok && (root == "" || os.IsPathSeparator(root[len(root)-1])) {
		home, err := filepath.EvalSymlinks(cmp.Or(root, "."))
		if err != nil {
			return nil, 0, openError(name, path, err)
		}
		if rel, err := filepath.Rel(home, real); err != nil || !filepath.IsLocal(rel) {
			return nil, 0, &Error{File: name, Cause: "the link leads out of the survey folder", Advice: "put the file itself in the folder"}
		}
	}
	info, err := os.Stat(real)
	if err != nil {
		return nil, 0, openError(name, path, err)
	}
	if err := regular(name, info); err != nil {
		return nil, 0, err // before it is opened: a pipe would wait for somebody to write
	}
	f, err := os.Open(real)
	if err != nil {
		return nil, 0, openError(name, path, err)
	}
	if info, err = f.Stat(); err != nil {
		f.Close()
		return nil, 0, openError(name, path, err)
	}
	return f, info.Size(), nil
}

func regular(name string, info fs.FileInfo) error {
	switch {
	case info.IsDir():
		return &Error{File: name, Cause: "this is a folder, not a file", Advice: "name the sheets in it one by one"}
	case !info.Mode().IsRegular():
		return &Error{File: name, Cause: "this is not a file that holds data", Advice: "save the sheet as a plain file"}
	case info.Size() == 0:
		return &Error{File: name, Cause: "the file is empty", Advice: "check that it was saved or copied whole"}
	}
	return nil
}

func openError(name, path string, err error) error {
	e := &Error{File: name, Cause: "the file cannot be opened", Advice: "check that you are allowed to read it and that it is not open elsewhere", Err: bare(err)}
	switch {
	case held.Is(err):
		e.Cause, e.Advice, e.Err = "another program has the file open and locks it", "close it there, and run again", nil
	case errors.Is(err, fs.ErrPermission):
		e.Cause, e.Advice, e.Err = "you are not allowed to open the file", "ask its owner, or change its permissions", nil
	case errors.Is(err, fs.ErrNotExist):
		e.Cause, e.Advice = "there is no such file", "check the name, including upper and lower case"
		if info, lerr := os.Lstat(path); lerr == nil && info.Mode()&fs.ModeSymlink != 0 {
			e.Cause, e.Advice = "this is a link to a missing file", "put the file itself in the folder"
		}
	}
	return e
}

// bare takes the path off an error, since Error.File names the file already.
func bare(err error) error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		return p.Err
	}
	return err
}
