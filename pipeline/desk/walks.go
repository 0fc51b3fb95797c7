package desk

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"path"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/survey"
)

// walks is the survey as it was last walked, and the walk that is under way. A
// survey is closed when it is neither the last one nor used by a request.
type walks struct {
	mu         sync.Mutex
	last       *walk    // nil for none
	current    *walking // nil for none
	err        error    // of the last walk
	state      uint64   // of the folder when it began
	ended      bool     // one has
	kept       []*walk  // used until the desk is closed
	background sync.WaitGroup
	oneAtATime sync.Mutex // held by a walk: there is memory for one at a time
	closed     bool

	pending *pending // decisions that no walk has seen yet; nil for none
}

// walk is a survey as it was walked, and what pages worked out of it.
type walk struct {
	*pipeline.Snapshot
	state uint64 // of the folder when the walk began
	uses  int    // requests that have it, and one for being the last

	mu       sync.Mutex // held while what is below is worked out, once, when it is asked for
	forms    []*form
	causes   []*cause
	pictures []report.Picture
	drawn    bool
	typing   *pipeline.Typing
	season   *seasonPage
}

// walking is a walk that is under way.
type walking struct {
	state uint64
	began time.Time
	stop  context.CancelFunc
	done  chan struct{}
	progress
}

// errClosed ends what went on in the background.
var errClosed = errors.New("the desk is closed")

// waitError says that an answer takes longer than a page should wait.
type waitError struct {
	what string
	soon bool // it has hardly begun, and most are done soon
}

func (e *waitError) Error() string { return e.what }

// visit is one request: the surveys that it uses, and how long it waits.
type visit struct {
	used     []*walk
	patience time.Duration // 0 for however long it takes
	early    bool          // what it shows does not know the last decisions yet
	progress *progress     // of walks that it makes itself; nil for nobody who asks
}

type visitKey struct{}

func visitOf(ctx context.Context) *visit {
	v, _ := ctx.Value(visitKey{}).(*visit)
	return v
}

// visiting begins a request, and returns what ends it.
func (d *Desk) visiting(ctx context.Context) (context.Context, func()) {
	v := &visit{}
	return context.WithValue(ctx, visitKey{}, v), func() {
		d.walks.mu.Lock()
		defer d.walks.mu.Unlock()
		for _, w := range v.used {
			d.release(w)
		}
	}
}

// use gives a survey to a request. Without a request it stays until the desk is
// closed.
func (d *Desk) use(ctx context.Context, w *walk) *walk {
	w.uses++
	if v := visitOf(ctx); v != nil {
		v.used = append(v.used, w)
	} else {
		d.walks.kept = append(d.walks.kept, w)
	}
	return w
}

// release ends one use. The lock of the walks is held.
func (d *Desk) release(w *walk) {
	if w.uses--; w.uses == 0 {
		d.walks.background.Go(func() { _ = w.Close() }) // files for temporary use, and nobody has it any more
	}
}

// Start begins to walk the survey, so that the first page need wait less.
func (d *Desk) Start() {
	state, err := d.state()
	if err != nil {
		return // the first page tells
	}
	d.walks.mu.Lock()
	defer d.walks.mu.Unlock()
	d.walkAt(state, false)
}

// Survey returns the survey as its files stand now: nothing is withheld, since
// whoever sits at the desk is of the team. It is walked again when a file of the
// folder has changed. Where nothing has changed but for decisions at this desk, it
// may be the survey before them; see pending. Whoever gets a result must not
// change it.
func (d *Desk) Survey(ctx context.Context) (*pipeline.Snapshot, error) {
	w, err := d.survey(ctx)
	if err != nil {
		return nil, err
	}
	return w.Snapshot, nil
}

func (d *Desk) survey(ctx context.Context) (*walk, error) { return d.walked(ctx, true) }

// walked returns the survey, or the one before the last decisions where early
// allows that.
func (d *Desk) walked(ctx context.Context, early bool) (*walk, error) {
	s := &d.walks
	for tries := 0; ; tries++ {
		state, err := d.state()
		if err != nil {
			return nil, err
		}
		s.mu.Lock()
		switch {
		case s.last != nil && (s.last.state == state || tries > 2): // a file that changes all the time
			defer s.mu.Unlock()
			return d.use(ctx, s.last), nil
		case s.ended && s.state == state && s.err != nil:
			defer s.mu.Unlock()
			return nil, s.err
		case early && s.pending != nil && s.pending.state == state:
			defer s.mu.Unlock()
			if v := visitOf(ctx); v != nil {
				v.early = true
			}
			return d.use(ctx, s.pending.before), nil
		}
		if s.closed {
			s.mu.Unlock()
			return nil, errClosed
		}
		u := d.walkAt(state, true)
		s.mu.Unlock()
		if err := u.wait(ctx); err != nil {
			return nil, err
		}
	}
}

// wait waits for a walk as long as the request does.
func (u *walking) wait(ctx context.Context) error {
	if !waited(ctx, u.done) {
		return &waitError{u.says(), time.Since(u.began) < soon}
	}
	return ctx.Err()
}

// soon is how long a walk may go on until pages come again each second only.
const soon = 2 * time.Second

// waited waits until something is done, as long as the request does.
func waited(ctx context.Context, done <-chan struct{}) bool {
	v := visitOf(ctx)
	if v == nil || v.patience == 0 {
		select {
		case <-done:
		case <-ctx.Done():
		}
		return true
	}
	timer := time.NewTimer(v.patience)
	defer timer.Stop()
	select {
	case <-done:
		return true
	case <-ctx.Done():
		return true
	case <-timer.C:
		v.patience = time.Nanosecond // it has waited
		return false
	}
}

// walkAt returns the walk over the folder in a state, and begins one if there is
// none. One over another state is stopped, where somebody waits for this one. The
// lock is held.
func (d *Desk) walkAt(state uint64, waiting bool) *walking {
	s := &d.walks
	other := s.current
	if other != nil {
		if other.state == state || !waiting {
			return other
		}
		other.stop()
	}
	ctx, stop := context.WithCancel(context.Background())
	u := &walking{state: state, began: time.Now(), stop: stop, done: make(chan struct{})}
	s.current = u
	o := d.Pipeline
	o.Parts = u.tell
	s.background.Go(func() {
		defer close(u.done)
		found, err := d.inspect(ctx, o)
		stopped := ctx.Err() != nil
		stop()
		s.mu.Lock()
		defer s.mu.Unlock()
		if err == nil && (stopped || s.current != u) {
			_ = found.Close()
		}
		if s.current != u {
			return
		}
		s.current = nil
		if stopped {
			return
		}
		s.ended, s.state, s.err = true, state, err
		if err == nil {
			d.take(found, state)
		}
	})
	return u
}

// inspect walks the survey when no other walk is under way. What that one had is given
// back to the system first.
func (d *Desk) inspect(ctx context.Context, o pipeline.Options) (*pipeline.Snapshot, error) {
	d.walks.oneAtATime.Lock()
	defer d.walks.oneAtATime.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	found, err := pipeline.Inspect(ctx, d.folder, o)
	if err != nil || found.Counts.Captures > largeSurvey {
		debug.FreeOSMemory()
	}
	return found, err
}

// largeSurvey is how many captures leave so much behind when they are walked that
// it is worth a collection.
const largeSurvey = 5_000

// take makes a survey the last one. The lock is held.
func (d *Desk) take(found *pipeline.Snapshot, state uint64) {
	s := &d.walks
	if s.last != nil {
		d.release(s.last)
	}
	s.last = &walk{Snapshot: found, state: state, uses: 1}
}

// latest returns the last survey at once, and walks meanwhile where a file has
// changed: for typing, which must not wait. Stale says why it cannot be walked as
// it is.
func (d *Desk) latest(ctx context.Context) (w *walk, stale error, err error) {
	s := &d.walks
	state, err := d.state()
	if err != nil {
		return nil, nil, err
	}
	s.mu.Lock()
	if s.last == nil {
		s.mu.Unlock()
		w, err = d.survey(ctx)
		return w, nil, err
	}
	defer s.mu.Unlock()
	switch {
	case s.last.state == state:
	case s.ended && s.state == state:
		stale = s.err
	default:
		d.walkAt(state, false)
	}
	return d.use(ctx, s.last), stale, nil
}

// closeWalks waits for what is under way, and closes all surveys.
func (d *Desk) closeWalks() {
	s := &d.walks
	s.mu.Lock()
	s.closed = true
	if s.current != nil {
		s.current.stop()
	}
	s.mu.Unlock()
	s.background.Wait()
	s.mu.Lock()
	for _, w := range s.kept {
		d.release(w)
	}
	s.kept = nil
	if s.last != nil {
		d.release(s.last)
		s.last = nil
	}
	s.mu.Unlock()
	s.background.Wait()
}

// state is a number that changes with names, sizes and times of the files of the
// survey.
func (d *Desk) state() (uint64, error) { return d.stateBut("") }

// stateBut is that of all files but one.
func (d *Desk) stateBut(one string) (uint64, error) {
	h := fnv.New64a()
	err := d.eachFile(func(name string, info fs.FileInfo) {
		if name != one {
			fmt.Fprintf(h, "%s\x00%d\x00%d\x00", name, info.Size(), info.ModTime().UnixNano())
		}
	})
	return h.Sum64(), err
}

// eachFile goes through the files of the folder. What begins with a dot is none
// of the survey.
func (d *Desk) eachFile(do func(name string, info fs.FileInfo)) error {
	return fs.WalkDir(d.root.FS(), ".", func(name string, e fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil // it went while we looked
		case err != nil:
			return err
		case name == ".":
			return nil
		case e.IsDir() && strings.HasPrefix(e.Name(), "."):
			return fs.SkipDir
		case e.IsDir() || strings.HasPrefix(path.Base(name), "."):
			return nil
		}
		if info, err := e.Info(); err == nil {
			do(name, info)
		}
		return nil
	})
}

// title is the title of the survey, or the name of the folder where it has none.
func (d *Desk) title() string {
	d.walks.mu.Lock()
	defer d.walks.mu.Unlock()
	if w := d.walks.last; w != nil && w.Snapshot.Survey.Dataset.Title != "" {
		return w.Snapshot.Survey.Dataset.Title
	}
	return path.Base(strings.ReplaceAll(d.folder, "\\", "/"))
}

// mistaken reports whether an error says what is wrong with the survey folder.
func mistaken(err error) bool {
	return errors.As(err, new(config.Mistakes)) || errors.As(err, new(*pipeline.CallError)) || errors.As(err, new(*pipeline.InputError))
}

// described reports whether the folder has a survey.yaml.
func (d *Desk) described() bool {
	_, err := d.root.Stat(survey.FileName)
	return err == nil
}
