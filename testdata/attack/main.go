// Command attack attacks the program as a hostile file, a kill at any moment and
// a broken system do, and says what fell.
//
//	go run ./testdata/attack mutate    files of a survey are damaged at random; each success is proved
//	go run ./testdata/attack kill      runs are killed at random moments; old or new output must be whole
//	go run ./testdata/attack faults    system calls fail at random moments (needs strace); likewise
//
// Each takes five seconds, two minutes with SPADEFOOT_LONG=1, or what -for says.
// It is run from the top of the repository. What it does follows from -seed, but
// for the moments of kills. A survey that led to a failure is kept below -keep.
package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// attack is one kind of attack under way.
type attack struct {
	program string // to be attacked
	work    string // folder to work in
	keep    string // folder for what led to a failure
	until   time.Time
	random  *rand.Rand
	tried   int
	codes   map[int]int // how often the program ended with each exit code
	failed  []string
}

var kinds = map[string]func(*attack) error{"mutate": mutate, "kill": kill, "faults": faults}

func main() {
	long := 5 * time.Second
	if os.Getenv("SPADEFOOT_LONG") != "" {
		long = 2 * time.Minute
	}
	for_ := flag.Duration("for", long, "how long")
	seed := flag.Uint64("seed", 1, "what the attack follows from")
	keep := flag.String("keep", filepath.Join(os.TempDir(), "spadefoot-attack"), "folder for what led to a failure")
	flag.Parse()
	begin, known := kinds[flag.Arg(0)]
	if !known || flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "attack: name one of mutate, kill and faults")
		os.Exit(2)
	}
	a, err := attacked(begin, *for_, *seed, *keep)
	if err != nil {
		fmt.Fprintln(os.Stderr, "attack:", err)
		os.Exit(2)
	}
	fmt.Printf("%s: %d attacks in %v, exit codes %v, %d failures\n", flag.Arg(0), a.tried, *for_, a.codes, len(a.failed))
	for _, f := range a.failed {
		fmt.Println(f)
	}
	if len(a.failed) > 0 {
		os.Exit(1)
	}
}

// attacked builds the program and attacks it.
func attacked(begin func(*attack) error, long time.Duration, seed uint64, keep string) (*attack, error) {
	work, err := os.MkdirTemp("", "spadefoot-attacked-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)
	a := &attack{program: filepath.Join(work, "spadefoot"), work: work, keep: keep, random: rand.New(rand.NewPCG(seed, 1)), codes: map[int]int{}}
	if text, err := exec.Command("go", "build", "-o", a.program, "./cmd/spadefoot").CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w: %s", err, text)
	}
	a.until = time.Now().Add(long)
	return a, begin(a)
}

// failedAt notes a failure, and keeps the survey that led to it.
func (a *attack) failedAt(survey, format string, args ...any) {
	kept := filepath.Join(a.keep, fmt.Sprintf("%d", a.tried))
	_ = os.RemoveAll(kept)
	if err := os.CopyFS(kept, os.DirFS(survey)); err != nil {
		kept = err.Error()
	}
	a.failed = append(a.failed, fmt.Sprintf("attack %d (%s): ", a.tried, kept)+fmt.Sprintf(format, args...))
}

// goes reports whether there is time for one more attack.
func (a *attack) goes() bool { return time.Now().Before(a.until) && len(a.failed) < 20 }

// longest is how long the program may take.
const longest = 30 * time.Second

// ended runs a command to its end and returns its exit code, -1 where it was
// killed or took too long, and what it said.
func ended(name string, args ...string) (code int, said string) {
	var b strings.Builder
	c := exec.Command(name, args...)
	c.Stdout, c.Stderr = &b, &b
	if err := c.Start(); err != nil {
		return -1, err.Error()
	}
	clock := time.AfterFunc(longest, func() { _ = c.Process.Kill() })
	defer clock.Stop()
	_ = c.Wait()
	return c.ProcessState.ExitCode(), b.String()
}

// crashed reports whether the program ended in a way that it never should.
func crashed(code int, said string) bool {
	return code < 0 || code > 4 || strings.Contains(said, "goroutine ") || strings.Contains(said, "runtime error")
}

// outputs reads the files below an output folder, without the folder of a run.
func outputs(dir string) (map[string]string, error) {
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.Name() == ".spadefoot-run":
			return filepath.SkipDir
		case d.IsDir():
			return nil
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		out[name] = string(text)
		return err
	})
	return out, err
}

// names are the paths of the files below a folder, in order.
func names(dir string) (out []string, err error) {
	err = filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && d.Type().IsRegular() {
			out = append(out, path)
		}
		return err
	})
	slices.Sort(out)
	return out, err
}
