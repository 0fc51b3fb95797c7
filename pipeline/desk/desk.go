package desk

import (
	"errors"
	"html/template"
	"net/http"
	"os"
	"path/filepath"
	"sync"

	"spadefoot/pipeline"
	"spadefoot/pipeline/output"
)

// Options is what a desk needs from its caller.
type Options struct {
	Pipeline pipeline.Options
	Secret   string        // that whoever asks must know: a text that nobody can guess
	Hosts    []string      // that the desk answers as, such as "127.0.0.1:4711"; the first gives the cookie its name
	Today    func() string // the day on which something is decided, as YYYY-MM-DD
}

// Desk answers requests over one survey folder. It may be asked by several
// browsers at once.
type Desk struct {
	Options
	folder  string // of the survey; its path from the root of the system
	root    *os.Root
	release func() error

	published string // folder beside it that a run writes to

	walked  standing[*pipeline.Looked]
	opened  opened
	notices notices
	handler http.Handler

	deciding sync.Mutex // held while a decision is written
	last     lastDecision

	typists  typists
	seasoned standing[template.HTML]
}

// LockName is the file in the survey folder that is held while a desk is open.
const LockName = ".spadefoot-desk"

// Open opens a desk over a folder. Of two desks over one folder the second is an
// *output.HeldError.
func Open(folder string, o Options) (*Desk, error) {
	if whole, err := filepath.Abs(folder); err == nil {
		folder = whole
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, &pipeline.CallError{Reason: folder + " cannot be opened; give the path of a folder with a survey, or with the sheets of one"}
	}
	release, err := output.Hold(folder, LockName)
	if err != nil {
		root.Close()
		return nil, err
	}
	d := &Desk{Options: o, folder: folder, published: folder + "-published", root: root, release: release}
	d.handler = d.guard(d.routes())
	return d, nil
}

// Close lets go of the folder.
func (d *Desk) Close() error {
	err := d.typists.close()
	d.root.Close()
	return errors.Join(err, d.release())
}

func (d *Desk) ServeHTTP(w http.ResponseWriter, r *http.Request) { d.handler.ServeHTTP(w, r) }
