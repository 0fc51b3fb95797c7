package main

import (
	"cmp"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/core/state"
	"github.com/klauspost/compress/gzip"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
)

// publish writes one shard and proves it. It gives what is said of the shard and
// the identifiers of its occurrences, by drawers.
type publish struct {
	Job   job
	Quiet quiet
}

func (f *publish) ProcessElement(ctx context.Context, _ state.Provider, shard int, blocks func(*[]byte) bool, whole, columns []byte, emit func([]byte), identifiers func(int, []byte)) error {
	j := &f.Job
	known, err := j.judgedOnce(slices.Clone(whole))
	if err != nil {
		return err
	}
	s, err := j.survey()
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "shard-*.tmp")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	all, err := j.together(columns)
	if err != nil {
		return err
	}
	done, err := s.Publish(ctx, dir, shard, known.Whole, all[0], j.partsOf(blocks))
	if err != nil {
		return err
	}
	said := &shardSaid{Shard: done}
	if done.Refused == "" {
		drawers := map[int][]byte{}
		n := pipeline.DrawerBits(known.Whole.Counts.Captures)
		err := j.release(filepath.Join(dir, darwincore.Folder), said, func(id string) {
			at := store.DrawerOf(id, n)
			drawers[at] = append(append(drawers[at], id...), '\n')
		})
		if err != nil {
			return err
		}
		for at, block := range drawers {
			if err := j.give(ctx, "identifiers", block, func(b []byte) { identifiers(at, b) }); err != nil {
				return err
			}
		}
	}
	text, err := json.Marshal(said)
	if err != nil {
		return err
	}
	emit(text)
	return j.write(fmt.Sprintf("shards/%05d-of-%05d.json", shard, j.Shards), func(w io.Writer) error { return indented(w, said.about()) })
}

// partsOf are the parts of a shard in their order, each once.
func (j *job) partsOf(blocks side) iter.Seq2[pipeline.Part, error] {
	return func(yield func(pipeline.Part, error) bool) {
		packed := map[int32][]byte{}
		for block := []byte(nil); blocks(&block); {
			packed[partNumber(block)] = slices.Clone(block)
		}
		for _, number := range slices.Sorted(maps.Keys(packed)) {
			p, err := j.unpackPart(packed[number])
			if !yield(p, err) || err != nil {
				return
			}
		}
	}
}

// release compresses the files of a shard into the outputs.
func (j *job) release(folder string, said *shardSaid, identifier func(string)) error {
	for _, name := range []string{darwincore.OccurrenceFile, darwincore.MeasurementFile, darwincore.MediaFile} {
		in, err := os.Open(filepath.Join(folder, name))
		if errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		defer in.Close()
		shard := darwincore.ShardName(name, said.Shard.Number, j.Shards)
		if name == darwincore.OccurrenceFile {
			err = whileRead(in, func(r io.Reader) error { return j.compress(shard, r) }, identifier)
		} else {
			err = j.compress(shard, in)
		}
		if err != nil {
			return err
		}
		said.Files = append(said.Files, shard)
	}
	return nil
}

// whileRead gives the identifiers of occurrences while their file is read.
func whileRead(in io.Reader, use func(io.Reader) error, identifier func(string)) error {
	read, write := io.Pipe()
	ended := make(chan error, 1)
	go func() { ended <- identifiers(read, identifier) }()
	err := use(io.TeeReader(in, write))
	write.CloseWithError(cmp.Or(err, error(io.EOF)))
	return errors.Join(err, <-ended)
}

func (j *job) compress(name string, in io.Reader) error {
	return j.write(filepath.Join(darwincore.Folder, name), func(w io.Writer) error {
		z := gzip.NewWriter(w)
		_, err := io.Copy(z, in)
		return errors.Join(err, z.Close())
	})
}

// identifiers gives the identifiers of occurrences as they stand in their file.
func identifiers(in *io.PipeReader, identifier func(string)) (err error) {
	defer func() { in.CloseWithError(err) }()
	r := csv.NewReader(in)
	r.ReuseRecord = true
	heading, err := r.Read()
	if err != nil {
		return err
	}
	at := slices.Index(heading, "occurrenceID")
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		identifier(row[at])
	}
}

// shardSaid is what is said of a shard, on its way.
type shardSaid struct {
	Shard *pipeline.Shard
	Files []string
}

func indented(w io.Writer, v any) error { return record.WriteJSON(w, v, "", " ") }
