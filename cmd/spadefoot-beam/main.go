// Command spadefoot-beam runs a survey folder on several machines, as a
// pipeline of Apache Beam. It has the rules of spadefoot run, whose rooms it
// calls, and none of its own.
//
//	spadefoot-beam --out DIR [--shards N] [--bundles N] [flags of the runner] FOLDER
//
// Without flags of a runner the pipeline runs in this process, on the SDK's
// Prism runner. The survey folder and the output folder have the same path on
// every machine. Flags that are tried here, with workers in processes of their
// own, are in run.sh; the others are the SDK's:
//
//	--runner flink    --endpoint jobserver:8099 --environment_type DOCKER --environment_config IMAGE
//	--runner spark    --endpoint jobserver:8099 --environment_type DOCKER --environment_config IMAGE
//	--runner dataflow --project P --region R --staging_location gs://B/stage --worker_harness_container_image IMAGE
//
// These three were not run. Where the survey has sensitive taxa, what goes
// between workers of other processes is sealed with the 32 bytes of --key-file,
// which every worker reads and which must not lie where others read.
//
// Below DIR stand, all or nothing:
//
//	darwin-core/  occurrence-00000-of-00004.csv.gz, …, meta.xml that names all of them, eml.xml
//	shards/       00000-of-00004.json, …: counts and proof of each shard
//	findings.csv  as spadefoot run writes it, but for findings on files of the archive
//	summary.json  counts and proof of the whole
//
// A survey with archive.core: event or archive.package: true is refused: a row of
// occurrences leaves out what its event says for all of its captures, and the tables
// of a package say each event, place and agent once, so that no shard could be
// written before all others are known.
//
// There is no captures.csv, no report and no results: those are made for one
// person's table and screen; run spadefoot on a part of the sheets for them.
//
// Exit codes are those of spadefoot: 0; 1 a shard failed its proof and was left
// out; 2 the call or the configuration is wrong; 3 an input cannot be read; 4 the
// output cannot be written, or the runner failed.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/options/jobopts"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/runners"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/x/beamx"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
)

var (
	out     = flag.String("out", "", "`folder` to write to; what is there is replaced only if everything succeeds")
	shards  = flag.Int("shards", 4, "`number` of files to split the occurrences into, and the measurements")
	bundles = flag.Int("bundles", 64, "`number` of groups that the sheets are handed out in; no more than that many workers can read at once")
	keyFile = flag.String("key-file", "", "`file` of 32 random bytes that every worker can read; it encrypts what goes between the workers\nof a survey with sensitive taxa")
)

const form = "spadefoot-beam --out DIR [flags] FOLDER"

// usage describes our own flags before those of the SDK.
func usage() {
	w := flag.CommandLine.Output()
	own, others := flag.NewFlagSet("", flag.ContinueOnError), flag.NewFlagSet("", flag.ContinueOnError)
	flag.VisitAll(func(f *flag.Flag) {
		to := others
		switch f.Name {
		case "out", "shards", "bundles", "key-file":
			to = own
		}
		to.Var(f.Value, f.Name, f.Usage)
	})
	own.SetOutput(w)
	others.SetOutput(w)
	fmt.Fprintf(w, "Runs a survey folder on several machines, as a pipeline of Apache Beam. Without --runner it runs on this one.\n\nUsage:\n  %s\n\nFlags:\n", form)
	own.PrintDefaults()
	fmt.Fprintln(w, "\nFlags of the runner, which are those of the SDK:")
	others.PrintDefaults()
}

func main() {
	flag.Usage = usage
	flag.Parse()
	beam.Init() // a worker does not come back from here
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := call{flag.Args(), *out, *shards, *bundles, *keyFile}.run(ctx, os.Stdout)
	if err != nil {
		fmt.Fprintln(os.Stderr, "spadefoot-beam:", err)
	}
	os.Exit(exitCode(err))
}

// call is what was asked for.
type call struct {
	folders         []string
	out             string
	shards, bundles int
	keyFile         string
}

func (c call) run(ctx context.Context, stdout io.Writer) (err error) {
	if err := c.check(); err != nil {
		return err
	}
	for _, path := range []*string{&c.folders[0], &c.out, &c.keyFile} { // workers may stand elsewhere
		if *path == "" {
			continue
		}
		if *path, err = filepath.Abs(*path); err != nil {
			return err
		}
	}
	survey, err := pipeline.Share(c.folders[0], pipeline.Options{})
	if err != nil {
		return err
	}
	j := job{Folder: c.folders[0], Shards: c.shards, KeyFile: c.keyFile}
	if survey.Secret() {
		if err := j.secure(*jobopts.EnvironmentType, *jobopts.Endpoint); err != nil {
			return err
		}
	}
	place, err := survey.Prepare(c.out)
	if err != nil {
		return err
	}
	defer place.Discard(&err)
	j.Prepared, j.Between = place.Partial, place.Temp
	if err := j.describe(survey); err != nil {
		return err
	}
	defer func() { loaded.Delete(j.name()) }()
	p, s := beam.NewPipelineWithRoot()
	j.build(s, survey.Sheets(), c.bundles)
	ran, err := beamx.RunWithMetrics(ctx, p)
	if err != nil {
		return fmt.Errorf("the run failed, and nothing was released: %w", err)
	}
	sum, err := j.readSummary()
	if err != nil {
		return err
	}
	sum.Between = between(ran)
	if sum.Stored, err = j.stored(); err != nil {
		return err
	}
	if err := j.write(summaryFile, func(w io.Writer) error { return indented(w, sum) }); err != nil {
		return err
	}
	if len(sum.Wrong) > 0 {
		return fmt.Errorf("the shards do not add up, and nothing was released: %s", strings.Join(sum.Wrong, "; "))
	}
	if err := place.Commit([]string{"darwin-core", "shards", "findings.csv", "summary.json"}); err != nil {
		return err
	}
	return sum.print(stdout, c.out)
}

// runnersKnown are those of the SDK that a survey can be given to.
var runnersKnown = []string{"prism", "universal", "flink", "spark", "dataflow"}

// check refuses a call that cannot be carried out, before anything is read.
func (c call) check() error {
	reason := ""
	switch runner := *runners.Runner; {
	case len(c.folders) != 1:
		reason = fmt.Sprintf("spadefoot-beam takes one survey folder, after the flags; found %d arguments; usage: %s", len(c.folders), form)
	case c.out == "":
		reason = "spadefoot-beam needs a folder to write to: --out DIR"
	case c.shards < 1:
		reason = fmt.Sprintf("--shards: found %d; give 1 or more", c.shards)
	case c.bundles < 1:
		reason = fmt.Sprintf("--bundles: found %d; give 1 or more", c.bundles)
	case runner != "" && !slices.Contains(runnersKnown, runner):
		reason = fmt.Sprintf("--runner: found %q; allowed: %s", runner, strings.Join(runnersKnown, ", "))
	default:
		return nil
	}
	return &pipeline.CallError{Reason: reason}
}

// errRefused says that shards were left out.
var errRefused = errors.New("some shards failed their proof and were left out; summary.json says which, and why")

func exitCode(err error) int {
	switch {
	case err == nil:
		return 0
	case errors.Is(err, errRefused):
		return 1
	case errors.As(err, new(*pipeline.CallError)), errors.As(err, new(config.Mistakes)):
		return 2
	case errors.As(err, new(*pipeline.InputError)):
		return 3
	}
	return 4
}
