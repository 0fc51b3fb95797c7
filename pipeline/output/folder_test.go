package output

import (
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
)

// lay writes files below a folder.
func lay(t *testing.T, folder string, files map[string]string) {
	t.Helper()
	for name, text := range files {
		path := filepath.Join(folder, filepath.FromSlash(name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
}

// laid reads the files below a folder, without those of a run.
func laid(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.Name() == runFolder {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			return nil
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(folder, path)
		out[filepath.ToSlash(name)] = string(text)
		return err
	})
	if err != nil && !errors.Is(err, fs.SkipDir) {
		t.Fatal(err)
	}
	return out
}

// What is in the folder before, what is prepared, what there is then. A
// person's own file stays, and so does what no run made.
var (
	beforeExchange = map[string]string{"darwin-core/a.csv": "1", "darwin-core/b.csv": "1", "findings.csv": "1", "package/t.csv": "1", "notes.txt": "mine"}
	exchanged      = map[string]string{"darwin-core/a.csv": "2", "findings.csv": "2", "report.html": "2"}
	afterExchange  = map[string]string{"darwin-core/a.csv": "2", "findings.csv": "2", "report.html": "2", "notes.txt": "mine"}
)

// crashAt stops what is done at its nth step, counted from 1, as if the program
// were killed, and reports whether it came that far.
func crashAt(n int, o *Folder, do func(*Folder) error) (crashed bool, err error) {
	type killed struct{}
	defer func() {
		if _, crashed = recover().(killed); crashed {
			o.lock.Close()
		}
	}()
	step := 0
	o.after = func(string) {
		if step++; step == n {
			panic(killed{})
		}
	}
	return false, do(o)
}

func exchangeAll(o *Folder) error {
	return o.Commit(slices.Sorted(maps.Keys(exchanged)), "package")
}

// Wherever an exchange is broken off, and wherever turning it back is broken
// off, the run after that finds what was there before.
func TestEveryCrashOfAnExchangeIsTurnedBack(t *testing.T) {
	for first := 1; ; first++ {
		for second := 0; ; second++ {
			dir := t.TempDir()
			lay(t, dir, beforeExchange)
			o, err := Prepare(dir)
			if err != nil {
				t.Fatal(err)
			}
			lay(t, o.Partial, exchanged)
			crashed, err := crashAt(first, o, exchangeAll)
			if err != nil {
				t.Fatal(err)
			}
			if !crashed {
				if first < 8 {
					t.Errorf("an exchange of %d steps", first-1)
				}
				return
			}
			if text, _ := os.ReadFile(LastWhole(dir, "findings.csv")); o.exchanging() && string(text) != "1" {
				t.Errorf("crashed at step %d: the last whole output is told to be %q", first, text)
			}
			want := beforeExchange
			if !o.exchanging() {
				want = afterExchange
			}
			if second > 0 {
				o = newOutputs(dir)
				if err := o.take(); err != nil {
					t.Fatal(err)
				}
				if crashed, err = crashAt(second, o, (*Folder).recover); err != nil {
					t.Fatal(err)
				}
				if !crashed {
					break
				}
			}
			if o, err = Prepare(dir); err != nil {
				t.Fatal(err)
			}
			o.Discard(&err)
			if got := laid(t, dir); !maps.Equal(got, want) {
				t.Fatalf("crashed at step %d, then at %d: %v", first, second, got)
			}
			if isThere(filepath.Join(dir, runFolder)) {
				t.Fatalf("crashed at step %d, then at %d: the folder of the run is still there", first, second)
			}
		}
	}
}

func TestAnExchangeThatFailsIsTurnedBack(t *testing.T) {
	for _, broken := range []string{"away package", "away darwin-core", "in place darwin-core", "away findings.csv"} {
		dir := t.TempDir()
		lay(t, dir, beforeExchange)
		o, err := Prepare(dir)
		if err != nil {
			t.Fatal(err)
		}
		lay(t, o.Partial, exchanged)
		o.after = func(step string) {
			if step == broken { // a file that is not there cannot be moved
				_ = os.Rename(filepath.Join(o.Partial, "report.html"), filepath.Join(o.Temp, "report.html"))
			}
		}
		err = exchangeAll(o)
		var failed *Error
		if !errors.As(err, &failed) || !strings.Contains(err.Error(), "earlier files are unchanged") {
			t.Errorf("%s: %v", broken, err)
		}
		o.Discard(&err)
		if got := laid(t, dir); !maps.Equal(got, beforeExchange) || isThere(o.run) {
			t.Errorf("%s: %v", broken, got)
		}
	}
}

// What could not be turned back is not thrown away.
func TestAnExchangeThatCannotBeTurnedBackIsKept(t *testing.T) {
	dir := t.TempDir()
	lay(t, dir, beforeExchange)
	o, err := Prepare(dir)
	if err != nil {
		t.Fatal(err)
	}
	lay(t, o.Partial, exchanged)
	o.after = func(step string) {
		if step == "in place findings.csv" { // the next cannot be moved, and a folder is in the way back
			_ = os.Remove(filepath.Join(o.Partial, "report.html"))
			lay(t, dir, map[string]string{"package/in-the-way.csv": ""})
		}
	}
	err = exchangeAll(o)
	var halfway *halfwayError
	if !errors.As(err, &halfway) || !strings.Contains(err.Error(), o.previous) || strings.Contains(err.Error(), "unchanged") {
		t.Errorf("got %v", err)
	}
	o.Discard(&err)
	if _, err := Prepare(dir); !errors.As(err, &halfway) {
		t.Errorf("the next run: %v", err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "package")); err != nil {
		t.Fatal(err)
	}
	if o, err = Prepare(dir); err != nil {
		t.Fatal(err)
	}
	o.Discard(&err)
	if got := laid(t, dir); !maps.Equal(got, beforeExchange) {
		t.Errorf("got %v", got)
	}
}

// Only where earlier outputs were moved is it said.
func TestAnInterruptedExchangeSaysWhatStands(t *testing.T) {
	for _, c := range []struct {
		earlier map[string]string
		says    string
	}{
		{beforeExchange, "some earlier files are in "},
		{map[string]string{"notes.txt": "mine"}, "no earlier file was moved"},
	} {
		dir := t.TempDir()
		lay(t, dir, c.earlier)
		o, err := Prepare(dir)
		if err != nil {
			t.Fatal(err)
		}
		lay(t, o.Partial, exchanged)
		o.after = func(step string) {
			if step == "in place findings.csv" { // the next cannot be moved, and the list cannot be read
				list := filepath.Join(o.run, exchangeName)
				_ = errors.Join(os.Remove(filepath.Join(o.Partial, "report.html")), os.Remove(list), os.Mkdir(list, 0o755))
			}
		}
		err = o.Commit(slices.Sorted(maps.Keys(exchanged)))
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "unchanged") {
			t.Errorf("got %v, want %q", err, c.says)
		}
		o.Discard(&err)
	}
}

// Nothing is exchanged if not all is there.
func TestAnExchangeNeedsAllThatIsListed(t *testing.T) {
	dir := t.TempDir()
	lay(t, dir, beforeExchange)
	o, err := Prepare(dir)
	if err != nil {
		t.Fatal(err)
	}
	err = exchangeAll(o)
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	o.Discard(&err)
	if got := laid(t, dir); !maps.Equal(got, beforeExchange) || isThere(o.run) {
		t.Errorf("got %v", got)
	}
}

func TestOneRunAtATime(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	o, err := Prepare(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, busy := Prepare(dir)
	var failed *Error
	if !errors.As(busy, &failed) || !strings.Contains(busy.Error(), "another run (process ") {
		t.Errorf("a second run: %v", busy)
	}
	o.Discard(&err)
	if isThere(dir) {
		t.Error("the folder is still there, though nothing was put into it")
	}

	var inside, runs atomic.Int32
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			for range 100 {
				o, err := Prepare(dir)
				if err != nil {
					continue
				}
				runs.Add(1)
				if inside.Add(1) > 1 {
					t.Error("two runs at once")
				}
				inside.Add(-1)
				o.Discard(&err)
			}
		})
	}
	wait.Wait()
	if runs.Load() == 0 || isThere(o.run) {
		t.Errorf("%d runs; the folder of the run is there: %v", runs.Load(), isThere(o.run))
	}
}

// What a run that was killed left in its folder goes, and nothing else.
func TestAKilledRunIsCleanedUp(t *testing.T) {
	dir := t.TempDir()
	lay(t, dir, beforeExchange)
	lay(t, filepath.Join(dir, runFolder), map[string]string{"lock": "1", "prepared/findings.csv": "half", "temp/rows-1.tmp": "x",
		"replaced/findings.csv": "of an exchange that ended", "what is this": ""})
	o, err := Prepare(dir)
	if err != nil {
		t.Fatal(err)
	}
	if entries, _ := os.ReadDir(o.run); len(entries) != 4 {
		t.Errorf("%v", entries)
	}
	o.Discard(&err)
	entries, _ := os.ReadDir(o.run)
	if got := laid(t, dir); !maps.Equal(got, beforeExchange) || len(entries) != 1 || entries[0].Name() != "what is this" {
		t.Errorf("got %v, in the folder of the run %v", got, entries)
	}
}

// What could not be brought to the disk beforehand is not released.
func TestKeep(t *testing.T) {
	for name, want := range map[string]bool{"darwin-core": true, "elsewhere": false} {
		dir := t.TempDir()
		o, err := Prepare(dir)
		if err != nil {
			t.Fatal(err)
		}
		lay(t, o.Partial, exchanged)
		o.Keep("findings.csv", name)
		if err = o.Commit(slices.Sorted(maps.Keys(exchanged))); (err == nil) != want {
			t.Errorf("%s: %v", name, err)
		}
		o.Discard(&err)
		if there := laid(t, dir); maps.Equal(there, exchanged) != want || len(there) > 0 != want {
			t.Errorf("%s: %v", name, there)
		}
	}
}
