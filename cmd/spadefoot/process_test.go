//go:build unix

package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"

	"spadefoot/pipeline/record/need"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// asProgram in the environment lets the test binary be the program.
const asProgram = "SPADEFOOT_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	code := m.Run()
	if two.folder[0] != "" {
		_ = os.RemoveAll(filepath.Dir(two.folder[0]))
	}
	os.Exit(code)
}

// process is the program at work, with a folder for temporary files that is
// its own.
type process struct {
	*exec.Cmd
	temp string
	said bytes.Buffer
	done chan struct{} // closed when it has ended
	err  error
}

func begin(t *testing.T, args ...string) *process {
	t.Helper()
	p := &process{Cmd: exec.Command(os.Args[0], args...), temp: t.TempDir(), done: make(chan struct{})}
	p.Env = append(os.Environ(), asProgram+"=1", "TMPDIR="+p.temp)
	p.Stderr = &p.said
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		p.err = p.Wait()
		close(p.done)
	}()
	return p
}

// reaches waits until a file is there, and reports false where the process ended
// before.
func (p *process) reaches(path string) bool {
	for {
		if _, err := os.Stat(path); err == nil {
			return true
		}
		select {
		case <-p.done:
			return false
		case <-time.After(50 * time.Microsecond):
		}
	}
}

// end waits for the process and returns its exit code, -1 where it was killed.
func (p *process) end(t *testing.T) int {
	t.Helper()
	<-p.done
	var exit *exec.ExitError
	if p.err != nil && !errors.As(p.err, &exit) {
		t.Fatal(p.err)
	}
	if left, err := os.ReadDir(p.temp); err != nil || len(left) > 0 {
		t.Errorf("left in the system's folder for temporary files: %v %v", left, err)
	}
	return p.ProcessState.ExitCode()
}

// whole runs the program to its end.
func whole(t *testing.T, survey, out string) {
	t.Helper()
	p := begin(t, "run", survey, "--out", out)
	if code := p.end(t); code != exitClean {
		t.Fatalf("exit code %d: %s", code, p.said.String())
	}
}

const runFolder = ".spadefoot-run"

// heldIn reads every file below an output folder, and says whether the folder of
// a run is there.
func heldIn(t *testing.T, out string) (files map[string]string, left bool) {
	t.Helper()
	files = map[string]string{}
	err := filepath.WalkDir(out, func(path string, d fs.DirEntry, err error) error {
		switch {
		case path == out && errors.Is(err, fs.ErrNotExist):
			return fs.SkipDir
		case err != nil:
			return err
		case d.Name() == runFolder:
			left = true
			return fs.SkipDir
		case d.IsDir():
			return nil
		}
		name, _ := filepath.Rel(out, path)
		text, err := os.ReadFile(path)
		files[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files, left
}

// manyFrogs makes a survey of n captures, enough that a run takes a while. The
// same seed gives the same survey.
func manyFrogs(t *testing.T, n int, seed uint64) string {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 1))
	var b strings.Builder
	b.WriteString("Field No,Species,SVL,Tibia,Head,Mass,Date,Site\n")
	for i := range n {
		svl := 55 + 6*r.NormFloat64()
		fmt.Fprintf(&b, "F%05d,%s,%.1f,%.1f,%.1f,%.1f,2025-%02d-%02d,Pond %d\n", i, []string{"Rana temporaria", "Rana arvalis"}[r.IntN(2)],
			svl, svl*0.5+r.NormFloat64(), svl*0.35+r.NormFloat64(), svl*svl*svl/9000+r.NormFloat64(), 3+r.IntN(4), 1+r.IntN(28), 1+r.IntN(6))
	}
	text := strings.Replace(header+"sheets: [{file: frogs.csv}]\narchive: {package: true}\n"+mappingText, "    - {heading: SVL",
		"    - {heading: Tibia, measurement: tibiaLength, unit: mm}\n    - {heading: Head, measurement: headWidth, unit: mm}\n"+
			"    - {heading: Mass, measurement: bodyMass, unit: g}\n    - {heading: Date, term: eventDate}\n    - {heading: Site, term: locality}\n    - {heading: SVL", 1)
	return folderOf(t, text, map[string][]byte{"frogs.csv": []byte(b.String())})
}

// surveys are two surveys with what a whole run makes of each, and how long it
// takes.
type surveys struct {
	folder [2]string
	whole  [2]map[string]string
	took   time.Duration
}

// two are made once, for the tests of this file.
var two struct {
	sync.Mutex
	surveys
}

func twoSurveys(t *testing.T) *surveys {
	t.Helper()
	two.Lock()
	defer two.Unlock()
	if two.took > 0 {
		return &two.surveys
	}
	dir, err := os.MkdirTemp("", "two-surveys-")
	if err != nil {
		t.Fatal(err)
	}
	for i := range two.folder {
		two.folder[i] = filepath.Join(dir, fmt.Sprint(i))
		if err := os.CopyFS(two.folder[i], os.DirFS(manyFrogs(t, 250, uint64(i)))); err != nil {
			t.Fatal(err)
		}
		out := t.TempDir()
		start := time.Now()
		whole(t, two.folder[i], out)
		var left bool
		if two.whole[i], left = heldIn(t, out); left || len(two.whole[i]) < 10 {
			t.Fatalf("%d files, the folder of the run is there: %v", len(two.whole[i]), left)
		}
		two.took = time.Since(start)
	}
	return &two.surveys
}

// moments are how many moments are tried.
func moments() int {
	if os.Getenv("SPADEFOOT_LONG") != "" {
		return 60
	}
	return need.Times(2, 6)
}

// someTime waits for a random part of the time that a run takes.
func (s *surveys) someTime(*process, string) {
	time.Sleep(time.Duration(float64(s.took) * 1.1 * rand.Float64()))
}

// untilExchange waits until a run exchanges its files.
func (s *surveys) untilExchange(p *process, out string) {
	p.reaches(filepath.Join(out, runFolder, "exchange"))
}

// signalled begins a run, sends it a signal when the time has come and returns its
// exit code.
func (s *surveys) signalled(t *testing.T, which int, out string, wait func(*process, string), signal os.Signal) (code int, what string) {
	t.Helper()
	start := time.Now()
	p := begin(t, "run", s.folder[which], "--out", out)
	wait(p, out)
	after := time.Since(start)
	_ = p.Process.Signal(signal) // it may be done already
	code = p.end(t)
	return code, fmt.Sprintf("%v after %v of %v, exit code %d: %s", signal, after.Round(time.Millisecond), s.took.Round(time.Millisecond), code, p.said.String())
}

// Killed at any moment, a run leaves what was there, or all that it made, and
// one folder. The next run makes what it always makes, and leaves no folder.
func TestAKilledRunLeavesOneFolder(t *testing.T) {
	t.Parallel()
	s := twoSurveys(t)
	out := t.TempDir()
	whole(t, s.folder[0], out)
	halfway := 0
	for i := range 2 * moments() {
		earlier, now, wait := i%2, (i+1)%2, s.someTime
		if i%3 == 0 {
			wait = s.untilExchange
		}
		code, what := s.signalled(t, now, out, wait, syscall.SIGKILL)
		got, left := heldIn(t, out)
		_, exchanging := os.Stat(filepath.Join(out, runFolder, "exchange"))
		switch {
		case code == exitClean && !left && maps.Equal(got, s.whole[now]):
		case code == -1 && exchanging == nil: // between two names: the next run turns it back
			halfway++
		case code == -1 && (maps.Equal(got, s.whole[earlier]) || maps.Equal(got, s.whole[now])):
		default:
			t.Errorf("%s: %d files, the folder of the run is there: %v", what, len(got), left)
		}
		whole(t, s.folder[now], out)
		if got, left := heldIn(t, out); left || !maps.Equal(got, s.whole[now]) {
			t.Errorf("%s, then a whole run: %d files, the folder of the run is there: %v", what, len(got), left)
		}
	}
	t.Logf("%d of %d runs were killed while they exchanged their files", halfway, 2*moments())
}

// Interrupted or ended at any moment, a run leaves what was there or all that it
// made, and nothing else.
func TestAnInterruptedRunLeavesNothing(t *testing.T) {
	t.Parallel()
	s := twoSurveys(t)
	for i := range 2 * moments() {
		out := filepath.Join(t.TempDir(), "out")
		earlier := map[string]string{}
		if i%2 == 1 {
			whole(t, s.folder[0], out)
			earlier = s.whole[0]
		}
		signal := []os.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP}[i%3]
		code, what := s.signalled(t, 1, out, s.someTime, signal)
		got, left := heldIn(t, out)
		switch {
		case left:
			t.Errorf("%s: the folder of the run is there", what)
		case code == exitClean && maps.Equal(got, s.whole[1]):
		case code == exitStopped && maps.Equal(got, earlier):
			if _, err := os.Stat(out); len(earlier) == 0 && err == nil {
				t.Errorf("%s: the output folder is there", what)
			}
		case code == -1 && maps.Equal(got, earlier): // before the program had begun to listen
		default:
			t.Errorf("%s: %d files", what, len(got))
		}
	}
}

// stopped begins a run and stops it in the middle of its work, until it is told
// to go on.
func (s *surveys) stopped(t *testing.T, out string) *process {
	t.Helper()
	for range 20 {
		p := begin(t, "run", s.folder[0], "--out", out)
		if p.reaches(filepath.Join(out, runFolder, "temp")) {
			_ = p.Process.Signal(syscall.SIGSTOP)
			time.Sleep(20 * time.Millisecond)
			if _, err := os.Stat(filepath.Join(out, runFolder, "temp")); err == nil {
				return p
			}
			_ = p.Process.Signal(syscall.SIGCONT)
		}
		p.end(t)
	}
	t.Fatal("no run of twenty could be stopped at work")
	return nil
}

// A second run into the folder of one that is at work is told so, and the first
// is none the worse for it.
func TestTwoRunsIntoOneFolder(t *testing.T) {
	t.Parallel()
	s := twoSurveys(t)
	out := filepath.Join(t.TempDir(), "out")
	first := s.stopped(t, out)
	second := begin(t, "run", s.folder[1], "--out", out)
	code := second.end(t)
	if said := second.said.String(); code != exitOutput || !strings.Contains(said, out) ||
		!strings.Contains(said, fmt.Sprintf("another run (process %d)", first.Process.Pid)) {
		t.Errorf("exit code %d: %s", code, said)
	}
	_ = first.Process.Signal(syscall.SIGCONT)
	if code := first.end(t); code != exitClean {
		t.Errorf("the first: exit code %d: %s", code, first.said.String())
	}
	if got, left := heldIn(t, out); left || !maps.Equal(got, s.whole[0]) {
		t.Errorf("%d files, the folder of the run is there: %v", len(got), left)
	}

	var all []*process
	for range 4 {
		all = append(all, begin(t, "run", s.folder[1], "--out", out))
	}
	done := 0
	for _, p := range all {
		switch code := p.end(t); code {
		case exitClean:
			done++
		case exitOutput:
		default:
			t.Errorf("exit code %d: %s", code, p.said.String())
		}
	}
	if got, left := heldIn(t, out); done == 0 || left || !maps.Equal(got, s.whole[1]) {
		t.Errorf("%d of four runs at once went through; %d files, the folder of the run is there: %v", done, len(got), left)
	}
}

// Who interrupts twice is not kept waiting for the stage to end.
func TestASecondInterruptEndsAtOnce(t *testing.T) {
	t.Parallel()
	survey := manyFrogs(t, 3000, 1)
	for try := range 60 {
		out := filepath.Join(t.TempDir(), "out")
		p := begin(t, "run", survey, "--out", out)
		if !p.reaches(filepath.Join(out, runFolder, "temp")) {
			p.end(t)
			continue
		}
		time.Sleep(time.Duration(try%20) * time.Millisecond)
		_ = p.Process.Signal(syscall.SIGINT)
		time.Sleep(time.Duration(1+2*(try%7)) * time.Millisecond) // a run may end in order within a few
		_ = p.Process.Signal(syscall.SIGINT)
		code := p.end(t)
		if got, _ := heldIn(t, out); code != exitClean && len(got) > 0 {
			t.Fatalf("exit code %d, %d files", code, len(got))
		}
		if code == -1 {
			return
		}
	}
	t.Error("no run of sixty ended at once")
}
