package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/tally"
)

// standardOutput in place of the name of a file.
const standardOutput = "-"

// isStandardOutput reports whether a path is a name of standard output.
func isStandardOutput(path string) bool {
	return slices.Contains([]string{"/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"}, path)
}

// continuous are the flags for continuous integration.
type continuous struct {
	sarif, junit, markdown string
	known, writeKnown      string

	before findings.KnownFindings // of --known
	kept   findings.KnownFindings // what --write-known will replace
}

// addKnown adds the flags on known findings.
func (c *continuous) addKnown(cmd *cobra.Command) {
	cmd.Flags().StringVar(&c.known, "known", "", "file of known findings; only other findings fail and are listed")
	cmd.Flags().StringVar(&c.writeKnown, "write-known", "", "file to record all findings in as known; without --known nothing fails then")
}

// addFiles adds the flags on files that CI systems read.
func (c *continuous) addFiles(cmd *cobra.Command) {
	cmd.Flags().StringVar(&c.sarif, "sarif", "", "file to write the findings to as SARIF 2.1.0; - for standard output instead of the summary")
	cmd.Flags().StringVar(&c.junit, "junit", "", "file to write the findings to as JUnit XML")
	cmd.Flags().StringVar(&c.markdown, "markdown", "", "file to write a short Markdown summary of the findings to")
}

// wanted is one file that was asked for.
type wanted struct {
	flag, path string
	write      func(io.Writer, findings.Results) error
}

// guarded writes the file unless it tells a place that is withheld.
func (o *wanted) guarded(r *pipeline.Result, w io.Writer, results findings.Results) error {
	name := strings.TrimPrefix(o.flag, "--")
	if o.flag == "--junit" {
		name += ".xml" // characters are written as XML has them
	}
	return r.Guarded(name, w, func(w io.Writer) error { return o.write(w, results) })
}

func (c *continuous) outputs() []wanted {
	var out []wanted
	for _, o := range []wanted{
		{"--sarif", c.sarif, findings.SARIF}, {"--junit", c.junit, findings.JUnit}, {"--markdown", c.markdown, findings.Markdown},
		{"--write-known", c.writeKnown, c.writeAll},
	} {
		if o.path != "" {
			out = append(out, o)
		}
	}
	return out
}

// paths are the files to be written, by the flags that ask for them.
func (c *continuous) paths() map[string]string {
	out := map[string]string{}
	for _, o := range c.outputs() {
		if o.path != standardOutput {
			out[o.flag] = o.path
		}
	}
	return out
}

func (c *continuous) writeAll(w io.Writer, r findings.Results) error {
	before := append(append(findings.KnownFindings{}, c.before...), c.kept...)
	return findings.WriteKnown(w, r.Findings, before)
}

// begin checks the flags and reads the known findings, before any work is
// done. format is what was asked for standard output.
func (c *continuous) begin(format string) error {
	for _, path := range []*string{&c.sarif, &c.junit, &c.markdown, &c.writeKnown} {
		if isStandardOutput(*path) {
			*path = standardOutput
		}
	}
	taken := map[string]string{}
	for _, o := range c.outputs() {
		if c.known != "" && o.flag != "--write-known" && filepath.Clean(o.path) == filepath.Clean(c.known) {
			return &pipeline.CallError{Reason: fmt.Sprintf("--known and %s both name %s; give each its own file", o.flag, o.path)}
		}
		if other, twice := taken[filepath.Clean(o.path)]; twice {
			return &pipeline.CallError{Reason: fmt.Sprintf("%s and %s both name %s; give each its own file", other, o.flag, o.path)}
		}
		taken[filepath.Clean(o.path)] = o.flag
	}
	if flag, ok := taken[standardOutput]; ok && (format != "text" || c.writeKnown == standardOutput) {
		return &pipeline.CallError{Reason: fmt.Sprintf("%s cannot go to standard output here; give the name of a file", flag)}
	}
	var err error
	if c.known != "" {
		if c.before, err = loadKnown(c.known); err != nil {
			return err
		}
	}
	if c.writeKnown != "" {
		c.kept, err = keptKnown(c.writeKnown)
	}
	return err
}

// judged is what came of the findings.
type judged struct {
	results findings.Results
	counted tally.Tally // of those that count: the new ones where some are known
	word    string      // failing level
	spoken  bool        // standard output is taken
	flags   *continuous
}

// finish holds the findings against the known ones and writes the files, all
// or none.
func (c *continuous) finish(stdout io.Writer, folder string, r *pipeline.Result, word string) (*judged, error) {
	j := &judged{counted: r.Tally, word: word, flags: c}
	if c.known == "" && len(c.outputs()) == 0 {
		return j, nil
	}
	if c.known != "" && c.before == nil {
		c.before = findings.KnownFindings{}
	}
	var err error
	if j.results, err = r.Results(folder, version, c.before); err != nil {
		return nil, err
	}
	if c.known != "" {
		j.counted = tally.Tally{}
		for t, err := range j.results.Findings {
			if err != nil {
				return nil, err
			}
			if !t.Known {
				j.counted.Add(&t.Finding)
			}
		}
	} else if c.writeKnown != "" {
		j.word = "never" // all that was found is known from here on
	}
	if j.word != "never" {
		if err := j.results.Failing.UnmarshalText([]byte(j.word)); err != nil {
			return nil, err
		}
	}
	var files []output.NewFile
	var aloud []wanted
	for _, o := range c.outputs() {
		if o.path == standardOutput {
			aloud = append(aloud, o)
			continue
		}
		files = append(files, output.NewFile{Path: o.path, Write: func(w io.Writer) error { return o.guarded(r, w, j.results) }})
	}
	if err := output.WriteFiles(files); err != nil {
		return nil, err
	}
	for _, o := range aloud {
		j.spoken = true
		if err := o.guarded(r, stdout, j.results); err != nil {
			return nil, err
		}
	}
	return j, nil
}

// verdict is the exit code.
func (j *judged) verdict() error { return failing(j.word, j.counted.Levels) }

// summary is the screen of the run; where findings are known it names the new
// ones only, then those that are gone.
func (j *judged) summary(w io.Writer, r *pipeline.Result, out string) error {
	if j.spoken {
		return nil
	}
	s := j.results.Standing
	if s == nil {
		if err := summary(w, r, out); err != nil || j.flags.writeKnown == "" {
			return err
		}
		_, err := fmt.Fprintf(w, "known %s written to %s\n", oneOrMany(r.Tally.Levels.AtLeast(record.Note), "1 finding was", "%d findings were"), j.flags.writeKnown)
		return err
	}
	of := *r
	of.Tally = j.counted
	if err := summaryOf(w, &of, out, "new  "); err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "known %s in %s\n", oneOrMany(s.Known, "1 more finding is", "%d more findings are"), j.flags.known)
	if n := s.Heavier; n > 0 {
		fmt.Fprintf(&b, "      of these, %s of a higher level than recorded\n", oneOrMany(n, "1 is", "%d are"))
	}
	if n := len(s.Gone); n > 0 {
		fmt.Fprintf(&b, "gone  %s; update the file with --write-known\n", oneOrMany(n, "1 known finding no longer occurs", "%d known findings no longer occur"))
		for i, k := range s.Gone {
			if r.Counts.Withheld > 0 {
				break // what was written down before may tell a place
			}
			if i == most {
				fmt.Fprintf(&b, "      and %d more\n", n-i)
				break
			}
			fmt.Fprintf(&b, "      %s\n", k)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// failWord is the failing level: the survey's failOn, or what is usual for the
// verb.
func (s *shared) failWord(r *pipeline.Result, usual string) string {
	return cmp.Or(r.Survey.FailOn, usual)
}

// loadKnown reads a file of known findings. That it is not there or not as it
// should be is a mistake in the call.
func loadKnown(path string) (findings.KnownFindings, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, config.Mistakes{{File: path, Problem: "is not there; write it first with --write-known"}}
		}
		return nil, &pipeline.InputError{File: path, Err: err}
	}
	return findings.ReadKnown(path, text)
}

// keptKnown is what is in a file of known findings that is to be written
// anew, so that what people said there stays. A file that is there and is
// something else is refused.
func keptKnown(path string) (findings.KnownFindings, error) {
	if _, err := os.Stat(path); err != nil || !output.Plain(path) { // where it cannot be, the writer says so
		return nil, nil
	}
	known, err := loadKnown(path)
	if err != nil {
		return nil, errors.Join(config.Mistakes{{File: path, Problem: "exists but is not a file of known findings, and was left alone; remove it or give another name"}}, err)
	}
	return known, nil
}
