package main

import (
	"fmt"
	"io"
	"sort"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/edition"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
)

// sinceRun compares a run with an earlier one. What it says goes to standard
// output only: the outputs of a run depend on its inputs and on nothing else.
type sinceRun struct {
	dir    string // of --since; the output folder if not given
	before *edition.Edition
	cannot error
}

// maxCompared is the size in bytes of the table of captures up to which a run
// is compared with the one before it without being asked: comparing holds both
// in memory.
const maxCompared = 10 << 20

// begin reads the earlier run before its outputs are replaced. A folder that
// was named must hold a run; the output folder may be new.
func (s *sinceRun) begin(out string) error {
	named := s.dir != ""
	if !named {
		s.dir = out
		if size := edition.Size(out); size > maxCompared {
			s.cannot = fmt.Errorf("its table of captures is %d MB, and tables of that size are compared only when --since names the folder", size>>20)
			return nil
		}
	}
	var err error
	s.before, err = edition.Read(s.dir)
	switch {
	case err != nil && named:
		return &pipeline.InputError{File: s.dir, Err: err}
	case s.before == nil && err == nil && named:
		return &pipeline.CallError{Reason: "--since: " + s.dir + " holds no run; give the output folder of an earlier run"}
	}
	s.cannot = err
	return nil
}

// write says what changed since the earlier run.
func (s *sinceRun) write(w io.Writer, out string) error {
	if s.before == nil && s.cannot == nil {
		return nil
	}
	var now *edition.Edition
	err := s.cannot
	if err == nil {
		now, err = edition.Read(out)
	}
	if err != nil {
		_, err = fmt.Fprintf(w, "since the last run in %s: unknown, %v\n", s.dir, err)
		return err
	}
	_, err = io.WriteString(w, changesText(now.Since(s.before)))
	return err
}

func changesText(c edition.Changes) string {
	if c.None() && c.Veiled {
		return fmt.Sprintf("since the last run in %s no capture and no finding changed\n", c.Since)
	}
	if c.None() {
		return fmt.Sprintf("since the last run in %s nothing changed\n", c.Since)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "since the last run in %s\n", c.Since)
	if c.Veiled {
		fmt.Fprintf(&b, "      files    %s new, %d gone; places are withheld, so changed files are not named\n", named(c.FilesNew), len(c.FilesGone))
	} else {
		fmt.Fprintf(&b, "      files    %s new, %s changed, %s gone\n", named(c.FilesNew), named(c.FilesOld), named(c.FilesGone))
	}
	added, from := 0, []string{}
	for file, n := range c.Added {
		added += n
		from = append(from, fmt.Sprintf("%s %d", oneLine(file), n))
	}
	sort.Strings(from)
	fmt.Fprintf(&b, "      captures %s added, %d gone, %d changed\n", counted(added, from), c.Gone, c.Altered)
	fmt.Fprintf(&b, "      findings %d new (%s), %d gone, %d changed\n",
		len(c.FindingsNew), findings.Count(c.FindingsNew), len(c.FindingsGone), len(c.FindingsChanged))
	listed := 0
	for _, part := range []struct {
		word string
		fs   []record.Finding
	}{{"new", c.FindingsNew}, {"changed", c.FindingsChanged}, {"gone", c.FindingsGone}} {
		for _, f := range part.fs {
			if f.Level < record.Warning {
				continue
			}
			if listed++; listed > most {
				continue
			}
			if c.Veiled && part.word == "gone" { // as the earlier run had it, with the place
				fmt.Fprintf(&b, "      %-8s %s %s\n", part.word, f.Level, f.Rule)
				continue
			}
			fmt.Fprintf(&b, "      %-8s %s %s at %s: %s\n", part.word, f.Level, f.Rule, oneLine(f.At), oneLine(findings.Short(f.Reason)))
		}
	}
	if listed > most {
		fmt.Fprintf(&b, "      and %d more\n", listed-most)
	}
	return b.String()
}

// named counts names and returns them where they are few.
func named(names []string) string { return counted(len(names), names) }

func counted(n int, names []string) string {
	if len(names) == 0 || len(names) > 4 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d (%s)", n, strings.Join(names, ", "))
}
