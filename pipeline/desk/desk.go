package desk

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/output"
)

// Options is what a desk needs from its caller.
type Options struct {
	Pipeline pipeline.Options
	Secret   string        // that whoever asks must know: a text that nobody can guess
	Hosts    []string      // that the desk answers as, such as "127.0.0.1:4711"; the first gives the cookie its name
	Today    func() string // the day on which something is decided, as YYYY-MM-DD
	Patience time.Duration // after which a page says that it waits, and a third longer until a decision is answered before all is looked at again; 0 for never
}

// Desk answers requests over one survey folder. It may be asked by several
// browsers at once.
type Desk struct {
	Options
	folder string // of the survey; its path from the root of the system
	root   *os.Root
	letGo  func() error

	published string // folder beside it that a run writes to

	open context.Context // until the desk is closed
	end  context.CancelFunc
	acts acts

	walks   walks
	notices notices
	writing sync.Mutex // held while a file of the survey is looked at and written
	handler http.Handler

	deciding sync.Mutex // held while a decision is written
	last     lastDecision

	decisions decisions
	appending sync.Mutex // held while a row is added to a file
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
	letGo, err := output.Hold(folder, LockName)
	if err != nil {
		root.Close()
		return nil, err
	}
	d := &Desk{Options: o, folder: folder, published: folder + "-published", root: root, letGo: letGo}
	d.open, d.end = context.WithCancel(context.Background())
	d.handler = d.guard(d.routes())
	return d, nil
}

// Close releases the folder.
func (d *Desk) Close() error {
	d.end()
	d.closeWalks()
	d.root.Close()
	return d.letGo()
}

func (d *Desk) ServeHTTP(w http.ResponseWriter, r *http.Request) { d.handler.ServeHTTP(w, r) }
