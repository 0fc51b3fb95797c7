package main

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// two are two surveys with what a whole run makes of each, and one that fails as
// soon as what an earlier run left has been put right.
type two struct {
	survey [2]string
	whole  [2]map[string]string
	broken string
	took   time.Duration
}

// surveys makes them of the demo.
func (a *attack) surveys() (*two, error) {
	t := &two{broken: filepath.Join(a.work, "broken")}
	for i := range t.survey {
		t.survey[i] = filepath.Join(a.work, fmt.Sprintf("survey-%d", i))
		if err := os.CopyFS(t.survey[i], os.DirFS(filepath.Join("testdata", "demo"))); err != nil {
			return nil, err
		}
		path := filepath.Join(t.survey[i], "survey.yaml")
		text, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		titled := strings.Replace(string(text), "title: ", fmt.Sprintf("title: Survey %d, ", i), 1)
		if err := os.WriteFile(path, []byte(titled), 0o600); err != nil {
			return nil, err
		}
		out, began := filepath.Join(a.work, fmt.Sprintf("whole-%d", i)), time.Now()
		if code, said := ended(a.program, "run", t.survey[i], "--out", out); code != 0 {
			return nil, fmt.Errorf("exit code %d: %s", code, said)
		}
		t.took = time.Since(began)
		if t.whole[i], err = outputs(out); err != nil {
			return nil, err
		}
	}
	if err := os.CopyFS(t.broken, os.DirFS(t.survey[0])); err != nil {
		return nil, err
	}
	sheets, err := filepath.Glob(filepath.Join(t.broken, "*.xlsx"))
	if err != nil || len(sheets) == 0 {
		return nil, errors.Join(err, errors.New("the demo has no workbook"))
	}
	return t, os.Remove(sheets[0])
}

// old puts the outputs of the first survey into a folder.
func (t *two) old(out string) error {
	if err := os.RemoveAll(out); err != nil {
		return err
	}
	for name, text := range t.whole[0] {
		path := filepath.Join(out, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
			return err
		}
	}
	return nil
}

// settled lets a run that fails put right what is in a folder, and says
// which survey's outputs are whole there: 0, 1, or -1 for neither.
func (a *attack) settled(t *two, out string) (which int, why string) {
	if code, said := ended(a.program, "run", t.broken, "--out", out); code != 3 {
		return -1, fmt.Sprintf("the run after it ended with %d: %s", code, said)
	}
	got, err := outputs(out)
	if err != nil {
		return -1, err.Error()
	}
	for i, whole := range t.whole {
		if maps.Equal(got, whole) {
			return i, ""
		}
	}
	return -1, fmt.Sprintf("neither the old nor the new outputs are whole: %d files", len(got))
}

// kill kills runs at random moments.
func kill(a *attack) error {
	t, err := a.surveys()
	if err != nil {
		return err
	}
	out := filepath.Join(a.work, "out")
	for ; a.goes(); a.tried++ {
		if err := t.old(out); err != nil {
			return err
		}
		c := exec.Command(a.program, "run", t.survey[1], "--out", out)
		if err := c.Start(); err != nil {
			return err
		}
		moment := time.Duration(a.random.Float64() * 1.3 * float64(t.took))
		if a.random.IntN(3) == 0 { // while outputs are exchanged, which is short
			moment = a.exchangeBegins(out, 2*t.took)
		}
		time.Sleep(moment)
		_ = c.Process.Kill()
		_ = c.Wait()
		which, why := a.settled(t, out)
		if a.codes[which]++; which < 0 {
			a.failedAt(out, "killed after %v: %s", moment, why)
		}
	}
	return nil
}

// exchangeBegins waits until a run exchanges its outputs, and returns how long to
// wait after that.
func (a *attack) exchangeBegins(out string, most time.Duration) time.Duration {
	list := filepath.Join(out, ".spadefoot-run", "exchange")
	for end := time.Now().Add(most); time.Now().Before(end); time.Sleep(20 * time.Microsecond) {
		if _, err := os.Stat(list); err == nil {
			break
		}
	}
	return time.Duration(a.random.IntN(400)) * time.Microsecond
}
