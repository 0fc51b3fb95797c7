package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
)

// complete describes the archive and says how the whole was proved.
type complete struct{ Job job }

// summary is summary.json.
type summary struct {
	Shards   []aboutShard       `json:"shards"`
	Counts   pipeline.Counts    `json:"counts"`
	Inputs   []report.InputNote `json:"inputs"`
	Findings findings.Counts    `json:"findings"`
	ByRule   map[string]int     `json:"findingsByRule"`
	Between  map[string]blocks  `json:"between"` // that went between steps through the runner, by what they are
	Stored   blocks             `json:"stored"`  // that went between steps in files
	Refused  int                `json:"refused"` // shards that did not pass their proof
	Wrong    []string           `json:"wrong"`   // with the whole; nothing is released where there is anything
}

// blocks are how many blocks were emitted, with the bytes of all and of the largest.
type blocks struct {
	Blocks  int64 `json:"blocks"`
	Bytes   int64 `json:"bytes"`
	Largest int64 `json:"largest"`
}

// between is what went between the steps, as the runner counted it.
func between(r beam.PipelineResult) map[string]blocks {
	out := map[string]blocks{}
	for _, d := range r.Metrics().Query(func(m beam.MetricResult) bool { return m.Namespace() == betweenSteps }).Distributions() {
		v, of := d.Result(), out[d.Name()]
		out[d.Name()] = blocks{of.Blocks + v.Count, of.Bytes + v.Sum, max(of.Largest, v.Max)}
	}
	return out
}

// aboutShard is what is said of one shard, for people and in the summary.
type aboutShard struct {
	Shard    int              `json:"shard"`
	Counts   prove.Counts     `json:"counts"`
	LeftOut  int              `json:"leftOut"`
	Files    []string         `json:"files"`
	Proved   bool             `json:"proved"`
	Refused  string           `json:"refused,omitempty"`
	Findings []record.Finding `json:"findings,omitempty"`
}

func (s *shardSaid) about() aboutShard {
	return aboutShard{s.Shard.Number, s.Shard.Counts, s.Shard.LeftOut, s.Files, s.Shard.Refused == "", s.Shard.Refused, s.Shard.Findings}
}

func (f *complete) ProcessElement(whole []byte, shards func(*[]byte) bool, again func(*string) bool) error {
	j := &f.Job
	known, err := j.judgedOnce(slices.Clone(whole))
	if err != nil {
		return err
	}
	said, err := inOrder(shards)
	if err != nil {
		return err
	}
	sum := j.summed(known, said)
	var files darwincore.ShardFiles
	var all []*pipeline.Shard
	for _, one := range said {
		all = append(all, one.Shard)
		for _, name := range one.Files {
			to := &files.Occurrences
			switch {
			case strings.HasPrefix(name, "measurement"):
				to = &files.Measurements
			case strings.HasPrefix(name, "media"):
				to = &files.Media
			}
			*to = append(*to, name)
		}
	}
	s, err := j.survey()
	if err != nil {
		return err
	}
	if sum.Wrong, err = s.Complete(filepath.Join(j.Prepared, darwincore.Folder), known.Whole, all, files); err != nil {
		return err
	}
	sum.Wrong = append(sum.Wrong, repeated(again)...)
	return j.write(summaryFile, func(w io.Writer) error { return indented(w, sum) })
}

const summaryFile = "summary.json"

// inOrder are the shards by number.
func inOrder(shards func(*[]byte) bool) (out []*shardSaid, err error) {
	var block []byte
	for shards(&block) {
		one := new(shardSaid)
		if err := json.Unmarshal(block, one); err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	slices.SortFunc(out, func(a, b *shardSaid) int { return a.Shard.Number - b.Shard.Number })
	return slices.CompactFunc(out, func(a, b *shardSaid) bool { return a.Shard.Number == b.Shard.Number }), nil
}

func (j *job) summed(known *judged, said []*shardSaid) *summary {
	w := known.Whole
	sum := &summary{Counts: w.Counts, Inputs: w.Inputs, Findings: w.Findings, ByRule: w.ByRule}
	c := &sum.Counts
	for _, one := range said {
		sum.Shards = append(sum.Shards, one.about())
		c.Occurrences += one.Shard.Counts.Occurrences
		c.Measurements += one.Shard.Counts.Measurements
		c.Media += one.Shard.Counts.Media
		c.LeftOut += one.Shard.LeftOut
		if one.Shard.Refused != "" {
			sum.Refused++
		}
	}
	return sum
}

// repeated says which identifiers more than one occurrence has.
func repeated(again func(*string) bool) []string {
	var ids []string
	for id := ""; again(&id); {
		ids = append(ids, id)
	}
	if len(ids) == 0 {
		return nil
	}
	slices.Sort(ids)
	return []string{fmt.Sprintf("%s used more than once: %s", record.Plural(len(ids), "identifier"), strings.Join(ids[:min(len(ids), 5)], ", "))}
}

func (j *job) readSummary() (*summary, error) {
	text, err := os.ReadFile(filepath.Join(j.Prepared, summaryFile))
	if err != nil {
		return nil, &pipeline.OutputError{Path: j.Prepared, Err: fmt.Errorf("the workers left no summary; does the folder have the same path on every machine? %w", err)}
	}
	sum := new(summary)
	return sum, json.Unmarshal(text, sum)
}

// print prints what was released.
func (s *summary) print(w io.Writer, out string) error {
	fmt.Fprintf(w, "in    %s, %s\n", record.Plural(s.Counts.Sheets, "sheet"), record.Plural(s.Counts.Captures, "capture"))
	fmt.Fprintf(w, "out   %s, %s, as %s in %s\n", record.Plural(s.Counts.Occurrences, "occurrence"), record.Plural(s.Counts.Measurements, "measurement"), record.Plural(len(s.Shards), "shard"), out)
	fmt.Fprintf(w, "found %s; findings.csv lists all of them\n", s.Findings)
	if s.Refused > 0 {
		return errRefused
	}
	return nil
}
