package sheet

import (
	"archive/zip"
	"errors"
	"io"
	"strings"

	"github.com/klauspost/compress/flate"
	"golang.org/x/text/transform"

	"spadefoot/pipeline/record/budget"
)

// zipLimits bound what a packed workbook may unpack to. Sheets of XML shrink to
// a twentieth or so; a file that would swell far beyond that is built to fill a
// machine's memory.
type zipLimits struct {
	files int
	all   int64 // bytes of all entries
	free  int64 // bytes of an entry that may swell as it likes
	times int64 // how often its packed size a larger entry may be
}

func limitsOf(b budget.Budgets) zipLimits {
	return zipLimits{files: 10_000, all: int64(b.OrUsual().Unpacked), free: 16 << 20, times: 250}
}

// errTooLarge says that the entries swell beyond the budget, errSwells that one
// does beyond what sheets ever shrink from.
var (
	errTooLarge = errors.New("the workbook unpacks to more than it may")
	errSwells   = errors.New("the workbook unpacks to more than it may: one of its parts is compressed far more than a sheet ever is")
)

const adviceTooBig = "save the sheets as CSV, which is read row by row"

// packed is an open packed workbook.
type packed struct {
	*zip.Reader
	parts map[string]*zip.File // by partName
	kept  map[*zip.File]string // the first parts, unpacked
}

// maxKept bounds the parts that are kept unpacked.
const maxKept = 16 << 20

// openZip opens a packed workbook and reads every entry once: the sizes have
// to be within limits and the check sums right. The readers further on pass
// over such damage and would lose rows in silence.
func openZip(name string, f io.ReaderAt, size int64, limits zipLimits) (*packed, error) {
	z, err := zip.NewReader(f, size)
	if err != nil {
		return nil, &Error{File: name, Cause: "the workbook is damaged", Advice: adviceCopy, Err: err}
	}
	z.RegisterDecompressor(zip.Deflate, flate.NewReader) // half the time of the standard library's
	if len(z.File) > limits.files {
		return nil, &Error{File: name, Cause: "the workbook has more parts than are allowed", Advice: adviceTooBig}
	}
	p, free := &packed{z, map[string]*zip.File{}, map[*zip.File]string{}}, uint64(maxKept)
	for _, e := range z.File {
		var text strings.Builder
		to := io.Discard
		if e.UncompressedSize64 <= free {
			to = &text
			text.Grow(int(e.UncompressedSize64))
		}
		n, err := unpack(to, e, limits)
		switch {
		case errors.Is(err, errTooLarge):
			return nil, &Error{File: name, Cause: err.Error(), Advice: adviceTooBig + ", or, " + budget.Advice(budget.Unpacked)}
		case errors.Is(err, errSwells):
			return nil, &Error{File: name, Cause: err.Error(), Advice: adviceTooBig}
		}
		if err != nil {
			return nil, &Error{File: name, Cause: "the workbook is damaged in its part " + e.Name, Advice: adviceCopy, Err: err}
		}
		limits.all -= n
		if p.part(e.Name) == nil { // of two with one name the first counts
			p.parts[partName(e.Name)] = e
		}
		if to == &text {
			p.kept[e] = text.String()
			free -= e.UncompressedSize64
		}
	}
	return p, nil
}

// open opens an entry.
func (p *packed) open(e *zip.File) (io.ReadCloser, error) {
	if text, ok := p.kept[e]; ok {
		return io.NopCloser(strings.NewReader(text)), nil
	}
	return e.Open()
}

// unpack reads an entry to its end and returns its size.
func unpack(to io.Writer, e *zip.File, limits zipLimits) (int64, error) {
	if e.UncompressedSize64 > uint64(limits.all) {
		return 0, errTooLarge
	}
	most := max(limits.free, limits.times*int64(min(e.CompressedSize64, 1<<40)))
	tooMuch := errSwells
	if most >= limits.all {
		most, tooMuch = limits.all, errTooLarge
	}
	r, err := e.Open()
	if err != nil {
		return 0, err
	}
	defer r.Close()
	n, err := io.Copy(to, io.LimitReader(r, most+1))
	if n > most {
		return n, tooMuch
	}
	return n, err
}

// part finds an entry by name, in any case of letters, as some programs write
// them with another case than they refer to them with.
func (p *packed) part(name string) *zip.File { return p.parts[partName(name)] }

// partName is the name of a part as it is compared.
func partName(name string) string { return strings.ToLower(strings.ReplaceAll(name, "\\", "/")) }

// charsetReader decodes XML that is not UTF-8.
func charsetReader(label string, r io.Reader) (io.Reader, error) {
	e, err := lookup(label)
	switch {
	case err != nil:
		return nil, err
	case e.utf8:
		return r, nil
	case e.charmap != nil:
		return transform.NewReader(r, e.charmap.NewDecoder()), nil
	}
	return transform.NewReader(r, e.other.NewDecoder()), nil
}
