package desk

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// scanView is the picture of a page of a field sheet.
type scanView struct {
	Address, Name  string
	Place, Of      int
	Next, Previous string
}

// pictureKinds are the pictures that are shown, by the ends of their names.
var pictureKinds = map[string]string{".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png", ".webp": "image/webp"}

// scanOf returns the picture that is likeliest to show a row, or the one that the
// address asks for; nil where the sheet has none. Pages are taken to hold equally
// many rows.
func (d *Desk) scanOf(r *http.Request, at record.Address, result *pipeline.Snapshot) (*scanView, error) {
	for i := range result.Tables {
		t := &result.Tables[i]
		sheet := result.Of[i]
		folder := result.Survey.Sheets[sheet].Pages
		if t.File != at.File || t.Sheet != at.Sheet || folder == "" {
			continue
		}
		names, err := d.scans(folder)
		if err != nil {
			return nil, refuse(http.StatusUnprocessableEntity, "survey.yaml names the folder %s for the pages of %s, and it cannot be read: %s", folder, t.File, err)
		}
		if len(names) == 0 {
			return nil, nil
		}
		n := 0
		if at.Row > 0 && len(t.Rows) > 0 {
			n = min(max((at.Row-t.Rows[0].Number)*len(names)/(lastRow(t, result.Rows[i])-t.Rows[0].Number+1), 0), len(names)-1)
		}
		if asked, err := strconv.Atoi(r.URL.Query().Get("page")); err == nil && asked >= 1 && asked <= len(names) {
			n = asked - 1
		}
		v := &scanView{Address: fmt.Sprintf("/doubts/page/%d/%d", sheet, n), Name: names[n], Place: n + 1, Of: len(names)}
		if n > 0 {
			v.Previous = strconv.Itoa(n)
		}
		if n+1 < len(names) {
			v.Next = strconv.Itoa(n + 2)
		}
		return v, nil
	}
	return nil, nil
}

// lastRow is the last row of a table of which the first rows may be all that is
// there.
func lastRow(t *record.Table, rows int) int {
	last := t.Rows[len(t.Rows)-1].Number
	if rows > len(t.Rows) {
		return max(last, t.Rectangle.Bottom)
	}
	return last
}

// scans lists the pictures of a folder by name.
func (d *Desk) scans(folder string) (names []string, err error) {
	entries, err := fs.ReadDir(d.root.FS(), path.Clean(folder))
	for _, e := range entries {
		if pictureKinds[strings.ToLower(path.Ext(e.Name()))] != "" && !e.IsDir() {
			names = append(names, e.Name())
		}
	}
	return names, err
}

// scan sends a picture.
func (d *Desk) scan(w http.ResponseWriter, r *http.Request) {
	f, kind, err := d.openScan(r)
	if err != nil {
		http.Error(w, "There is no such picture.", http.StatusNotFound)
		return
	}
	defer f.Close()
	w.Header().Set("Content-Type", kind)
	_, _ = io.Copy(w, f) // whoever asked may be gone
}

func (d *Desk) openScan(r *http.Request) (io.ReadCloser, string, error) {
	result, err := d.Survey(r.Context())
	if err != nil {
		return nil, "", err
	}
	sheet, err := strconv.Atoi(r.PathValue("sheet"))
	n, err2 := strconv.Atoi(r.PathValue("n"))
	if err = errors.Join(err, err2); err != nil || sheet < 0 || sheet >= len(result.Survey.Sheets) {
		return nil, "", fs.ErrNotExist
	}
	folder := result.Survey.Sheets[sheet].Pages
	names, err := d.scans(folder)
	if err != nil || folder == "" || n < 0 || n >= len(names) {
		return nil, "", fs.ErrNotExist
	}
	f, err := d.root.Open(path.Join(folder, names[n]))
	return f, pictureKinds[strings.ToLower(path.Ext(names[n]))], err
}
