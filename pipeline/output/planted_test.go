//go:build unix

package output

import (
	"crypto/rand"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Whoever may write to the output folder plants links where a run makes,
// empties or overwrites something. None of them is followed.
func TestPlantedLinks(t *testing.T) {
	for name, plant := range map[string]func(out, mine string) error{
		"the run folder": func(out, mine string) error { return os.Symlink(mine, filepath.Join(out, runFolder)) },
		"the lock": func(out, mine string) error {
			run := filepath.Join(out, runFolder)
			return errors.Join(os.Mkdir(run, 0o755), os.Symlink(filepath.Join(mine, "short.txt"), filepath.Join(run, lockName)))
		},
		"the lock, as another name": func(out, mine string) error {
			run := filepath.Join(out, runFolder)
			return errors.Join(os.Mkdir(run, 0o755), os.Link(filepath.Join(mine, "short.txt"), filepath.Join(run, lockName)))
		},
		"the list of an exchange": func(out, mine string) error {
			run := filepath.Join(out, runFolder)
			return errors.Join(os.Mkdir(run, 0o755), os.Symlink(filepath.Join(mine, "thesis.txt"), filepath.Join(run, exchangeName)))
		},
		"what is prepared": func(out, mine string) error {
			run := filepath.Join(out, runFolder)
			return errors.Join(os.Mkdir(run, 0o755), os.Symlink(mine, filepath.Join(run, preparedName)))
		},
		"what was replaced": func(out, mine string) error {
			run := filepath.Join(out, runFolder)
			return errors.Join(os.Mkdir(run, 0o755), os.WriteFile(filepath.Join(run, exchangeName), []byte("findings.csv"), 0o644),
				os.Symlink(mine, filepath.Join(run, replacedName)))
		},
	} {
		t.Run(name, func(t *testing.T) {
			out, mine := t.TempDir(), t.TempDir()
			lay(t, mine, map[string]string{"thesis.txt": "mine", "short.txt": "1", "folder/more.txt": "mine too"})
			lay(t, out, map[string]string{"findings.csv": "1"})
			if err := plant(out, mine); err != nil {
				t.Fatal(err)
			}
			o, err := Prepare(out)
			if err == nil {
				o.Discard(&err)
				t.Fatal("the run began")
			}
			var at *Error
			if !errors.As(err, &at) || !strings.Contains(err.Error(), "remove it") && !errors.Is(err, syscall.ELOOP) {
				t.Errorf("the error: %v", err)
			}
			if got := laid(t, mine); len(got) != 3 || got["thesis.txt"] != "mine" || got["short.txt"] != "1" {
				t.Errorf("what the link leads to is now %v", got)
			}
			if got := laid(t, out); got["findings.csv"] != "1" {
				t.Errorf("the outputs are now %v", got)
			}
		})
	}
}

// A list of an exchange cannot name what lies outside the output folder.
func TestAPlantedListNamesNothingElse(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "out")
	lay(t, parent, map[string]string{"thesis.txt": "mine", "out/" + runFolder + "/" + exchangeName: "../thesis.txt\n.\n..\n" + runFolder, "out/sub/a.txt": "mine"})
	o, err := Prepare(out)
	if err != nil {
		t.Fatal(err)
	}
	o.Discard(&err)
	if got := laid(t, parent); got["thesis.txt"] != "mine" {
		t.Errorf("left: %v", got)
	}
}

// Nobody can foresee the names under which files are written before they are
// moved, and nothing is left of them; what is in a folder of the program's
// own is not written over.
func TestWorkingNames(t *testing.T) {
	dir := t.TempDir()
	if a := besideName(rand.Text()); a == besideName(rand.Text()) || !isBesideName(a) || isBesideName(a+"0") || isBesideName(a[:len(a)-1]) {
		t.Error(a)
	}
	lay(t, dir, map[string]string{"thesis.txt": "mine"})
	seen := ""
	write := func(w io.Writer) error {
		for name := range laid(t, dir) {
			if name != "thesis.txt" {
				seen = name
			}
		}
		return says("new")(w)
	}
	if err := WriteFiles([]NewFile{{filepath.Join(dir, "a.txt"), write}}); err != nil {
		t.Error(err)
	}
	if got := laid(t, dir); len(got) != 2 || got["a.txt"] != "new" || !strings.HasPrefix(seen, ".spadefoot-") {
		t.Errorf("written as %q, left: %v", seen, got)
	}
	if err := WriteFiles([]NewFile{{filepath.Join(dir, "a.txt"), says("newer")}, {filepath.Join(dir, "b.txt"), func(io.Writer) error { return errors.New("no") }}}); err == nil {
		t.Error("a file that failed")
	}
	for name, write := range map[string]func(string) error{
		"a plain file": func(path string) error { return os.WriteFile(path, []byte("mine"), 0o644) },
		"a link":       func(path string) error { return os.Symlink(filepath.Join(dir, "thesis.txt"), path) },
	} {
		path := filepath.Join(t.TempDir(), "findings.csv")
		if err := write(path); err != nil {
			t.Fatal(err)
		}
		if err := WriteFile(path, says("new")); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if got := laid(t, dir); len(got) != 2 || got["thesis.txt"] != "mine" || got["a.txt"] != "new" {
		t.Errorf("left: %v", got)
	}
}

// Only plain files within the folder are read, and what is none is not opened:
// a pipe would wait for ever.
func TestFilesAreWithinTheFolder(t *testing.T) {
	parent := t.TempDir()
	lay(t, parent, map[string]string{"secret.txt": "secret", "survey/a.txt": "a", "survey/sub/b.txt": "b"})
	folder := filepath.Join(parent, "survey")
	at := func(name string) string { return filepath.Join(folder, name) }
	for _, err := range []error{
		os.Symlink("../secret.txt", at("out.txt")), os.Symlink(at("a.txt"), at("in.txt")), os.Symlink("..", at("up")),
		os.Symlink("/dev/zero", at("zero.txt")), syscall.Mkfifo(at("pipe.txt"), 0o644), os.Symlink("pipe.txt", at("pipe2.txt")),
	} {
		if err != nil {
			t.Skip(err)
		}
	}
	for name, want := range map[string]string{"a.txt": "a", "sub/b.txt": "b", "in.txt": "a",
		"out.txt": "", "up/secret.txt": "", "zero.txt": "", "pipe.txt": "", "pipe2.txt": "", "../secret.txt": "", "gone.txt": ""} {
		text, err := fs.ReadFile(Files(folder), name)
		if string(text) != want || (err == nil) != (want != "") {
			t.Errorf("%s: %q, %v", name, text, err)
		}
		if name == "gone.txt" && !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSpare(t *testing.T) {
	folder := t.TempDir()
	lay(t, folder, map[string]string{"survey.yaml": "y", "data/a.csv": "a", "other.txt": "o"})
	if err := errors.Join(os.Symlink("data/a.csv", filepath.Join(folder, "link.csv")), os.Link(filepath.Join(folder, "survey.yaml"), filepath.Join(folder, "hard.yaml"))); err != nil {
		t.Skip(err)
	}
	own := []string{"survey.yaml", "data/a.csv", "remedies.csv"}
	for name, spared := range map[string]bool{"survey.yaml": true, "data/../survey.yaml": true, "data/a.csv": true, "link.csv": true, "hard.yaml": true,
		"remedies.csv": true, "data": true, "other.txt": false, "new.txt": false} {
		if err := SpareAll(filepath.Join(folder, name), folder, own); (err != nil) != spared {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestMade(t *testing.T) {
	folder := t.TempDir()
	ours, others := "{\n \"program\": \"spadefoot\"", "{}"
	lay(t, folder, map[string]string{"out/run.json": ours, "out/captures.csv": "", "out/darwin-core/occurrence.csv": "", "out/mine.csv": "",
		"2023/run.json": others, "2023/captures.csv": "", "compared/observers.json": ours, "compared/agreement.csv": "", runFolder + "/prepared/captures.csv": ""})
	for name, made := range map[string]bool{"out/captures.csv": true, "out/darwin-core/occurrence.csv": true, "out/mine.csv": false, "2023/captures.csv": false,
		"compared/agreement.csv": true, "captures.csv": false, runFolder + "/prepared/captures.csv": true} {
		if got := Made(Files(folder), name); got != made {
			t.Errorf("%s: %v", name, got)
		}
	}
}
