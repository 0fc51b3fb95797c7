package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"slices"
	"strings"

	"github.com/richardlehane/mscfb"
)

// kind is what a file is, by its content.
type kind uint8

const (
	textKind kind = iota
	xlsxKind
	xlsKind
	odsKind
)

func (k kind) String() string {
	return [...]string{"separated text", "an XLSX workbook", "an XLS workbook", "an ODS workbook"}[k]
}

const (
	adviceExport = "open it in a spreadsheet program and save it as XLSX, ODS or CSV"
	adviceCopy   = "copy or download the file again, or open it in a spreadsheet program and save it again"
	adviceOpen   = "open it with its password and save a copy without one"
)

// foreign are the first bytes of files that hold no readable sheet.
var foreign = []struct{ magic, what string }{
	{"\xff\xd8\xff", "a JPEG picture"}, {"\x89PNG\r\n\x1a\n", "a PNG picture"}, {"GIF8", "a GIF picture"},
	{"II*\x00", "a TIFF picture"}, {"MM\x00*", "a TIFF picture"}, {"%PDF-", "a PDF document"},
	{"{\\rtf", "an RTF document"}, {"\x1f\x8b", "a file packed with gzip"}, {"7z\xbc\xaf\x27\x1c", "a packed file"},
	{"Rar!\x1a\x07", "a packed file"}, {"SQLite format 3\x00", "a database"},
	{"\x00\x01\x00\x00Standard Jet DB", "a database"}, {"\x00\x01\x00\x00Standard ACE DB", "a database"},
	{"\x09\x00\x04\x00", "a workbook of a very old kind (BIFF2)"},
	{"\x09\x02\x06\x00", "a workbook of a very old kind (BIFF3)"},
	{"\x09\x04\x06\x00", "a workbook of a very old kind (BIFF4)"},
	{"\xff\xfe\x00\x00", "text in UTF-32"}, {"\x00\x00\xfe\xff", "text in UTF-32"},
}

const oleMagic = "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"

// sniff finds the kind of a file from its content.
func sniff(name string, f io.ReaderAt, size int64) (kind, error) {
	head := make([]byte, min(size, sniffSize))
	if _, err := f.ReadAt(head, 0); err != nil && err != io.EOF {
		return 0, &Error{File: name, Cause: "the file cannot be read", Advice: adviceCopy, Err: bare(err)}
	}
	if len(bytes.Trim(head, "\x00")) == 0 {
		return 0, &Error{File: name, Cause: "the file holds nothing but zero bytes", Advice: adviceCopy}
	}
	for _, x := range foreign {
		if bytes.HasPrefix(head, []byte(x.magic)) {
			return 0, &Error{File: name, Cause: "this is " + x.what + ", not a sheet", Advice: adviceExport}
		}
	}
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		return sniffZip(name, f, size)
	case bytes.HasPrefix(head, []byte(oleMagic)):
		return sniffOLE(name, f)
	case bytes.HasPrefix(head, []byte("\x09\x08")) && len(head) > 8 && head[3] == 0:
		return xlsKind, nil // a bare BIFF stream, as some programs wrote
	}
	return textKind, sniffText(name, head)
}

// sniffText refuses what is text but no table, and what is not text.
func sniffText(name string, head []byte) error {
	lower := bytes.ToLower(bytes.TrimLeft(bytes.TrimPrefix(head[:min(len(head), 2048)], []byte("\xef\xbb\xbf")), " \t\r\n"))
	for _, tag := range []string{"<!doctype html", "<html", "<table", "<head", "<body"} {
		if bytes.HasPrefix(lower, []byte(tag)) {
			return &Error{File: name, Cause: "this is a web page, despite its name", Advice: adviceExport}
		}
	}
	if bytes.HasPrefix(lower, []byte("<?xml")) {
		return &Error{File: name, Cause: "this is an XML file, not a sheet", Advice: adviceExport}
	}
	if _, wide := wideOrder(head); !wide && unlikeText(head) {
		return &Error{File: name, Cause: "this is not text: it contains bytes that do not occur in text", Advice: "check that this is the right file; " + adviceExport}
	}
	return nil
}

// unlikeText reports whether more than one byte in a hundred is NUL or one in
// twenty a control character that text does not use.
func unlikeText(head []byte) bool {
	nul, control := 0, 0
	for _, c := range head {
		switch {
		case c == 0:
			nul++
		case c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != 0x1a && c != 0x1b:
			control++
		}
	}
	return nul*100 > len(head) || control*20 > len(head)
}

func sniffZip(name string, f io.ReaderAt, size int64) (kind, error) {
	z, err := zip.NewReader(f, size)
	if err != nil {
		return 0, &Error{File: name, Cause: "the workbook is damaged: it begins as one, but its end is missing or broken", Advice: adviceCopy}
	}
	has := func(prefix string) bool {
		return slices.ContainsFunc(z.File, func(f *zip.File) bool { return strings.HasPrefix(f.Name, prefix) })
	}
	what := "a packed folder, not a sheet"
	switch {
	case has("xl/workbook.bin"):
		what = "an XLSB workbook, which is not read"
	case has("xl/"):
		return xlsxKind, nil
	case has("word/"), has("ppt/"):
		what = "a text document or a set of slides, not a sheet"
	case has("Index/"):
		what = "a workbook in a format that only its own program reads"
	case has("content.xml"):
		if t := mimetype(z); t == "" || strings.HasPrefix(t, "application/vnd.oasis.opendocument.spreadsheet") {
			return odsKind, nil
		}
		what = "an OpenDocument file, but not a sheet"
	}
	return 0, &Error{File: name, Cause: "this is " + what, Advice: adviceExport}
}

// mimetype returns the content of the entry that OpenDocument files begin with.
func mimetype(z *zip.Reader) string {
	f, err := z.Open("mimetype")
	if err != nil {
		return ""
	}
	defer f.Close()
	b, _ := io.ReadAll(io.LimitReader(f, 200))
	return string(bytes.TrimSpace(b))
}

func sniffOLE(name string, f io.ReaderAt) (k kind, err error) {
	broken := &Error{File: name, Cause: "the workbook is damaged", Advice: adviceCopy}
	defer func() {
		if recover() != nil {
			err = broken
		}
	}()
	box, err := mscfb.New(f)
	if err != nil {
		broken.Err = err
		return 0, broken
	}
	names := map[string]bool{}
	for _, e := range box.File {
		names[e.Name] = true
	}
	switch {
	case names["EncryptedPackage"]:
		return 0, &Error{File: name, Cause: "the workbook is protected by a password", Advice: adviceOpen}
	case names["Workbook"], names["Book"]:
		return xlsKind, nil
	case names["WordDocument"], names["PowerPoint Document"]:
		return 0, &Error{File: name, Cause: "this is a text document or a set of slides, not a sheet", Advice: adviceExport}
	}
	return 0, &Error{File: name, Cause: "this is not a workbook, or it is damaged", Advice: adviceExport}
}
