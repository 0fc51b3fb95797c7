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

// looks is the survey as it was last walked, and the walk that is under way. A
// survey is closed when it is neither the last one nor used by a request.
type looks struct {
	mu      sync.Mutex
	last    *look          // nil for none
	under   *walking       // nil for none
	err     error          // of the last walk
	state   uint64         // of the folder when it began
	asked   bool           // there was one
	kept    []*look        // used until the desk is closed
	past    sync.WaitGroup // what goes on in the background
	walking sync.Mutex     // held by a walk: there is memory for one at a time
	closed  bool

	pending *pending // decisions that no walk has seen yet; nil for none
}

// look is a survey as it was walked, and what pages worked out of it.
type look struct {
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
	used     []*look
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
		d.looks.mu.Lock()
		defer d.looks.mu.Unlock()
		for _, l := range v.used {
			d.release(l)
		}
	}
}

// use gives a survey to a request. Without a request it stays until the desk is
// closed.
func (d *Desk) use(ctx context.Context, l *look) *look {
	l.uses++
	if v := visitOf(ctx); v != nil {
		v.used = append(v.used, l)
	} else {
		d.looks.kept = append(d.looks.kept, l)
	}
	return l
}

// release ends one use. The lock of the looks is held.
func (d *Desk) release(l *look) {
	if l.uses--; l.uses == 0 {
		d.looks.past.Go(func() { _ = l.Close() }) // files for temporary use, and nobody has it any more
	}
}

// Start begins to walk the survey, so that the first page need wait less.
func (d *Desk) Start() {
	state, err := d.state()
	if err != nil {
		return // the first page tells
	}
	d.looks.mu.Lock()
	defer d.looks.mu.Unlock()
	d.walkAt(state, false)
}

// Survey returns the survey as its files stand now: nothing is withheld, since
// whoever sits at the desk is of the team. It is walked again when a file of the
// folder has changed. Where nothing has changed but for decisions at this desk, it
// may be the survey before them; see pending. Whoever gets a result must not
// change it.
func (d *Desk) Survey(ctx context.Context) (*pipeline.Snapshot, error) {
	l, err := d.survey(ctx)
	if err != nil {
		return nil, err
	}
	return l.Snapshot, nil
}

func (d *Desk) survey(ctx context.Context) (*look, error) { return d.walked(ctx, true) }

// walked returns the survey, or the one before the last decisions where early
// allows that.
func (d *Desk) walked(ctx context.Context, early bool) (*look, error) {
	s := &d.looks
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
		case s.asked && s.state == state && s.err != nil:
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
	s := &d.looks
	other := s.under
	if other != nil {
		if other.state == state || !waiting {
			return other
		}
		other.stop()
	}
	ctx, stop := context.WithCancel(context.Background())
	u := &walking{state: state, began: time.Now(), stop: stop, done: make(chan struct{})}
	s.under = u
	o := d.Pipeline
	o.Parts = u.tell
	s.past.Go(func() {
		defer close(u.done)
		found, err := d.look(ctx, o)
		stopped := ctx.Err() != nil
		stop()
		s.mu.Lock()
		defer s.mu.Unlock()
		if err == nil && (stopped || s.under != u) {
			_ = found.Close()
		}
		if s.under != u {
			return
		}
		s.under = nil
		if stopped {
			return
		}
		s.asked, s.state, s.err = true, state, err
		if err == nil {
			d.take(found, state)
		}
	})
	return u
}

// look walks the survey when no other walk is under way. What that one had is given
// back to the system first.
func (d *Desk) look(ctx context.Context, o pipeline.Options) (*pipeline.Snapshot, error) {
	d.looks.walking.Lock()
	defer d.looks.walking.Unlock()
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
	s := &d.looks
	if s.last != nil {
		d.release(s.last)
	}
	s.last = &look{Snapshot: found, state: state, uses: 1}
}

// latest returns the last survey at once, and walks meanwhile where a file has
// changed: for typing, which must not wait. Stale says why it cannot be walked as
// it is.
func (d *Desk) latest(ctx context.Context) (l *look, stale error, err error) {
	s := &d.looks
	state, err := d.state()
	if err != nil {
		return nil, nil, err
	}
	s.mu.Lock()
	if s.last == nil {
		s.mu.Unlock()
		l, err = d.survey(ctx)
		return l, nil, err
	}
	defer s.mu.Unlock()
	switch {
	case s.last.state == state:
	case s.asked && s.state == state:
		stale = s.err
	default:
		d.walkAt(state, false)
	}
	return d.use(ctx, s.last), stale, nil
}

// closeLooks waits for what is under way, and closes all surveys.
func (d *Desk) closeLooks() {
	s := &d.looks
	s.mu.Lock()
	s.closed = true
	if s.under != nil {
		s.under.stop()
	}
	s.mu.Unlock()
	s.past.Wait()
	s.mu.Lock()
	for _, l := range s.kept {
		d.release(l)
	}
	s.kept = nil
	if s.last != nil {
		d.release(s.last)
		s.last = nil
	}
	s.mu.Unlock()
	s.past.Wait()
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
	d.looks.mu.Lock()
	defer d.looks.mu.Unlock()
	if l := d.looks.last; l != nil && l.Snapshot.Survey.Dataset.Title != "" {
		return l.Snapshot.Survey.Dataset.Title
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
