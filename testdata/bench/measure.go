package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	"spadefoot/pipeline"
)

// used is what one run took.
type used struct {
	wall, cpu   time.Duration
	memory      int64 // bytes at the peak, resident
	allocations uint64
}

const heading = `| what | captures | seconds | of processor | captures/s | MB/s | peak MB | allocations per capture | seconds, times bare | processor, times bare |
| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |`

// line prints one line of the table. Bytes are those that were read and
// written.
func line(what string, n int, bytes int64, u, bare used) {
	seconds := u.wall.Seconds()
	byClock, byProcessor, allocations := "", "", ""
	if bare.cpu > 0 {
		byClock = strconv.FormatFloat(seconds/bare.wall.Seconds(), 'f', 1, 64)
		byProcessor = strconv.FormatFloat(u.cpu.Seconds()/bare.cpu.Seconds(), 'f', 1, 64)
	}
	if u.allocations > 0 {
		allocations = strconv.FormatUint(u.allocations/uint64(n), 10)
	}
	fmt.Printf("| %s | %d | %.2f | %.2f | %.0f | %.1f | %d | %s | %s | %s |\n", what, n, seconds, u.cpu.Seconds(),
		float64(n)/seconds, float64(bytes)/1e6/seconds, u.memory/1e6, allocations, byClock, byProcessor)
}

// middle runs a program so many times, each time without what the one before
// has written, and returns the run of the middle processor time.
func (p *plan) middle(written, program string, args ...string) (used, error) {
	var all []used
	for range p.runs {
		if err := os.RemoveAll(written); err != nil {
			return used{}, err
		}
		u, err := once(program, args...)
		if err != nil {
			return used{}, err
		}
		all = append(all, u)
	}
	slices.SortFunc(all, func(a, b used) int { return int(a.cpu - b.cpu) })
	return all[len(all)/2], nil
}

// once runs a program and asks the system what it took.
func once(program string, args ...string) (used, error) {
	var said bytes.Buffer
	c := exec.Command(program, args...)
	c.Stdout, c.Stderr = io.Discard, &said
	start := time.Now()
	err := c.Run()
	u := used{wall: time.Since(start)}
	if err != nil {
		return u, fmt.Errorf("%s %s: %w\n%s", filepath.Base(program), strings.Join(args, " "), err, said.String())
	}
	if r, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
		u.memory = r.Maxrss << 10
	}
	u.cpu = c.ProcessState.UserTime() + c.ProcessState.SystemTime()
	return u, nil
}

// build builds the program that is measured.
func build(to string) error {
	out, err := exec.Command("go", "build", "-o", to, "spadefoot/cmd/spadefoot").CombinedOutput()
	if err != nil {
		return fmt.Errorf("go build: %w\n%s", err, out)
	}
	return nil
}

func self() string {
	path, err := os.Executable()
	if err != nil {
		return os.Args[0]
	}
	return path
}

// inner are the parts that run as processes of their own.
var inner = map[string]func(args []string) error{"bare": bare, "read": read, "allocations": count}

// bare is the yardstick: it reads a sheet once and writes its rows, each as often
// as is needed for so many bytes to be written in the end.
func bare(args []string) error {
	want, err := strconv.ParseFloat(args[2], 64)
	if err != nil {
		return err
	}
	out, err := os.Create(args[1])
	if err != nil {
		return err
	}
	all := float64(size(args[0]))
	counted := &counter{w: out}
	w := csv.NewWriter(counted)
	err = eachRow(args[0], func(cells []string, read int64) error {
		for float64(counted.n) < want*float64(read)/all {
			if err := w.Write(cells); err != nil {
				return err
			}
		}
		return nil
	})
	w.Flush()
	return errors.Join(err, w.Error(), out.Close())
}

type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(b []byte) (int, error) {
	c.n += int64(len(b))
	return c.w.Write(b)
}

// read reads every CSV file of a folder.
func read(args []string) error {
	files, err := filepath.Glob(filepath.Join(args[0], "*.csv"))
	if err != nil {
		return err
	}
	for _, f := range files {
		if err := eachRow(f, func([]string, int64) error { return nil }); err != nil {
			return err
		}
	}
	return nil
}

// eachRow calls use with the rows of a CSV file, each with the number of bytes that were
// read by then.
func eachRow(path string, use func(cells []string, read int64) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.ReuseRecord = true
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err == nil {
			err = use(cells, r.InputOffset())
		}
		if err != nil {
			return err
		}
	}
}

// allocations counts what its own run allocates.
func allocations(folder, out string) (uint64, error) {
	said, err := exec.Command(self(), "allocations", folder, out).Output()
	if err != nil {
		return 0, err
	}
	return strconv.ParseUint(strings.TrimSpace(string(said)), 10, 64)
}

func count(args []string) error {
	if _, err := pipeline.Run(context.Background(), args[0], args[1], pipeline.Options{}); err != nil {
		return err
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	fmt.Println(m.Mallocs)
	return nil
}

// size is the size of a file, or of all files below a folder.
func size(path string) int64 {
	var n int64
	_ = filepath.WalkDir(path, func(_ string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil {
			n += info.Size()
		}
		return err
	})
	return n
}
