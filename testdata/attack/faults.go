package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
)

// fault is a system call that may fail, with errors that it fails with.
type fault struct {
	call   string
	errors []string
}

var mayFail = []fault{
	{"openat", []string{"EACCES", "EMFILE", "EIO", "ENOSPC"}},
	{"write", []string{"EIO", "ENOSPC", "EDQUOT"}},
	{"pread64", []string{"EIO"}},
	{"fsync", []string{"EIO", "ENOSPC"}},
	{"renameat", []string{"EIO", "EACCES", "ENOSPC"}},
	{"mkdirat", []string{"EACCES", "ENOSPC"}},
	{"unlinkat", []string{"EIO", "EACCES"}},
	{"getdents64", []string{"EIO"}},
	{"newfstatat", []string{"EIO", "EACCES"}},
}

// neverBegun is the exit code where the system could not begin the program.
const neverBegun = 127

// faults lets one system call of a run fail, and often all of its kind after it.
func faults(a *attack) error {
	if _, err := exec.LookPath("strace"); err != nil {
		return fmt.Errorf("system calls are made to fail by strace: %w", err)
	}
	t, err := a.surveys()
	if err != nil {
		return err
	}
	out, trace := filepath.Join(a.work, "out"), filepath.Join(a.work, "trace")
	calls, err := a.callsOf(t, out, trace)
	if err != nil {
		return err
	}
	for ; a.goes(); a.tried++ {
		if err := t.old(out); err != nil {
			return err
		}
		f := mayFail[a.random.IntN(len(mayFail))]
		how := fmt.Sprintf("%s:error=%s:when=%d", f.call, f.errors[a.random.IntN(len(f.errors))], 1+a.random.IntN(max(1, calls[f.call])))
		if a.random.IntN(2) == 0 {
			how += "+"
		}
		code, said := ended("strace", "-f", "-qq", "-o", trace, "-e", "trace="+f.call, "-e", "inject="+how, a.program, "run", t.survey[1], "--out", out)
		a.codes[code]++
		if code == neverBegun {
			continue
		}
		if crashed(code, said) {
			a.failedAt(out, "%s: exit code %d: %s", how, code, said)
			continue
		}
		switch which, why := a.settled(t, out); {
		case which < 0:
			a.failedAt(out, "%s: exit code %d, %s\n%s", how, code, why, said)
		case code == 0 && which != 1:
			a.failedAt(out, "%s: exit code 0, and the outputs are the old ones", how)
		}
	}
	return nil
}

// callsOf counts the system calls of a run, by name.
func (a *attack) callsOf(t *two, out, trace string) (map[string]int, error) {
	if err := t.old(out); err != nil {
		return nil, err
	}
	if code, said := ended("strace", "-f", "-qq", "-o", trace, a.program, "run", t.survey[1], "--out", out); code != 0 {
		return nil, fmt.Errorf("strace: exit code %d: %s", code, said)
	}
	text, err := os.ReadFile(trace)
	n := map[string]int{}
	for _, f := range mayFail {
		n[f.call] = bytes.Count(text, []byte(" "+f.call+"("))
	}
	if n["write"] == 0 {
		err = errors.Join(err, errors.New("strace saw nothing written"))
	}
	return n, err
}
