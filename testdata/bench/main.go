// Command bench measures all stages on an invented sheet: seconds, captures
// and megabytes a second, peak memory, allocations, and how that compares with a
// bare read of the sheet that writes as many bytes, by the clock and in processor
// time, since a machine is seldom idle.
//
//	go run ./testdata/bench                            1,000 and 10,000 captures
//	go run ./testdata/bench -n 100000 -runs 3          the median of three runs
//	go run ./testdata/bench -n 1000000,10000000 -work DIR    large sheets, on a disk with room
//	go run ./testdata/bench -season                    2,000 captures in a workbook
//	go run ./testdata/bench -n 100000 -prove           the proof of the archive alone
//	go run ./testdata/bench -n 1000 -make FOLDER       only make the survey folder
//	go run ./testdata/bench -beside 'COMMAND {sheet} {out}'   a line for another program
//
// Every measured run is its own process, so that its memory is its own.
// Allocations are counted in one more run, unless -allocations=false. Beside the
// sheet (a hundred bytes a capture) two sets of outputs are on the disk at a
// time, of some kilobytes a capture each.
// The sheet is the same for the same number of captures; its species are real,
// everything else is made up.
package main

import (
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
)

// plan is what the flags ask for.
type plan struct {
	sizes  []int
	runs   int
	make   string
	season bool
	prove  bool
	beside []string
	work   string
	counts bool
}

func main() {
	if len(os.Args) > 1 && inner[os.Args[1]] != nil {
		exit(inner[os.Args[1]](os.Args[2:]))
		return
	}
	var p plan
	sizes := flag.String("n", "1000,10000", "numbers of captures, parted by commas")
	flag.IntVar(&p.runs, "runs", 1, "runs of each, of which the median by processor time is shown")
	flag.StringVar(&p.work, "work", "", "folder to work in; the system's for temporary files if not given")
	flag.BoolVar(&p.counts, "allocations", true, "count allocations, in a run of its own")
	flag.StringVar(&p.make, "make", "", "make the survey folder here and measure nothing")
	flag.BoolVar(&p.season, "season", false, "2,000 captures in a workbook instead")
	flag.BoolVar(&p.prove, "prove", false, "measure the proof of the archive too")
	flag.Func("beside", "another program to measure; {sheet} and {out} stand for its input and an empty folder", func(s string) error {
		p.beside = append(p.beside, s)
		return nil
	})
	flag.Parse()
	for _, s := range strings.Split(*sizes, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(s))
		if err != nil || n < 1 {
			exit(fmt.Errorf("-n %q: give whole numbers from 1, parted by commas", *sizes))
		}
		p.sizes = append(p.sizes, n)
	}
	exit(p.run())
}

func exit(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func (p *plan) run() error {
	if p.season {
		p.sizes = []int{2000}
	}
	if p.make != "" {
		return survey(p.make, p.sizes[0], p.season)
	}
	work, err := os.MkdirTemp(p.work, "spadefoot-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	signal.Notify(make(chan os.Signal, 1), os.Interrupt) // ends what is measured; what is left is then cleared away
	program := filepath.Join(work, "spadefoot")
	if err := build(program); err != nil {
		return err
	}
	fmt.Println(heading)
	for _, n := range p.sizes {
		folder := filepath.Join(work, strconv.Itoa(n))
		if err := p.measure(program, folder, n); err != nil {
			return err
		}
		if err := os.RemoveAll(folder); err != nil { // the next is larger
			return err
		}
	}
	return nil
}

// measure measures one size, each program on the same sheet, one after the
// other.
func (p *plan) measure(program, work string, n int) error {
	folder, out := filepath.Join(work, "survey"), filepath.Join(work, "out")
	if err := survey(folder, n, p.season); err != nil {
		return err
	}
	in := sheetPath(folder, p.season)
	ours, err := p.middle(out, program, "run", folder, "--out", out, "--fail-on", "never")
	if err != nil {
		return err
	}
	if p.counts {
		again := filepath.Join(work, "again")
		if ours.allocations, err = allocations(folder, again); err != nil {
			return err
		}
		if err := os.RemoveAll(again); err != nil {
			return err
		}
	}
	bytes := size(in) + size(out)
	bare := used{}
	if !p.season { // a workbook has no bare reading to compare with
		copied := filepath.Join(work, "bare.csv")
		if bare, err = p.middle(copied, self(), "bare", in, copied, strconv.FormatInt(size(out), 10)); err != nil {
			return err
		}
		if err := os.Remove(copied); err != nil {
			return err
		}
		line("bare read and write", n, bytes, bare, used{})
	}
	line("spadefoot run", n, bytes, ours, bare)
	if p.prove {
		if err := p.proof(program, filepath.Join(out, "darwin-core"), n); err != nil {
			return err
		}
	}
	return p.others(in, work, n, bare)
}

// proof measures prove on an archive against reading its files.
func (p *plan) proof(program, archive string, n int) error {
	bare, err := p.middle("", self(), "read", archive)
	if err != nil {
		return err
	}
	line("bare read of the archive", n, size(archive), bare, used{})
	ours, err := p.middle("", program, "prove", archive)
	if err != nil {
		return err
	}
	line("spadefoot prove", n, size(archive), ours, bare)
	return nil
}

// others measures the programs of -beside.
func (p *plan) others(in, work string, n int, bare used) error {
	for i, command := range p.beside {
		out := filepath.Join(work, "beside"+strconv.Itoa(i))
		words := strings.Fields(strings.NewReplacer("{sheet}", in, "{out}", out).Replace(command))
		u, err := p.middle(out, words[0], words[1:]...)
		if err != nil {
			return fmt.Errorf("%s: %w", command, err)
		}
		line(name(words), n, size(in)+size(out), u, bare)
	}
	return nil
}

// name is what a command is called in the table: its first word that is a
// file, or the first.
func name(words []string) string {
	for _, w := range words[1:] {
		if filepath.Ext(w) != "" {
			return filepath.Base(w)
		}
	}
	return filepath.Base(words[0])
}
