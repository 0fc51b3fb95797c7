// Package archives proves archives made by anyone, and runs the published
// quality tests on them.
package archives

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	tableschemas "spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/prove/causes"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/pipeline/prove/records"
	"spadefoot/pipeline/record"
)

// Options says how an archive is proved.
type Options struct {
	Responses   string   // file to write the answers of the quality tests to; none if empty
	Measures    string   // file to write the sums of the answers to; none if empty
	Quality     bool     // failed validations are findings
	Only        []string // labels of the quality tests to answer, or use cases; all if empty
	Taxa        []string // files of names, each perhaps after the name of its authority and "="
	Marine      string   // file of names that live in the sea
	Divisions   string   // file of boundaries of first-level divisions
	Centroids   string   // file of centres of countries
	Descriptors string   // folder of the published table schemas to compare descriptors with
	Today       time.Time
}

// Prove holds any Darwin Core archive, zip or text file against the published
// standard and, where asked, puts the published quality tests to what it is
// about.
func Prove(ctx context.Context, path string, o Options) (*prove.Result, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, &output.InputError{File: path, Err: err}
	}
	how, err := o.how()
	if err != nil {
		return nil, err
	}
	sources, err := o.sources()
	if err != nil {
		return nil, err
	}
	tests, err := quality.NewInquiry(o.Only, quality.Params{Today: o.Today, Sources: sources})
	if err != nil {
		return nil, &output.CallError{Reason: "--only: " + err.Error()}
	}
	for _, f := range []struct{ flag, path string }{{"--responses", o.Responses}, {"--measures", o.Measures}} {
		if f.path == "" {
			continue
		}
		if inside, err := output.Within(f.path, path); err != nil || inside {
			return nil, &output.CallError{Reason: f.flag + ": " + f.path + " is the archive itself or inside it; choose another place"}
		}
	}
	if o.Responses == "" && o.Measures == "" && !o.Quality {
		result, err := prove.Path(ctx, path, how)
		return result, unread(path, err)
	}
	if o.Responses == "" {
		return asked(ctx, path, how, tests, nil, o)
	}
	var result *prove.Result
	err = output.WriteWhole(o.Responses, func(w io.Writer) (err error) {
		result, err = asked(ctx, path, how, tests, w, o)
		return err
	})
	return result, err
}

// how says how the files are judged.
func (o *Options) how() (out prove.Options, err error) {
	if o.Descriptors == "" {
		return out, nil
	}
	if out.Descriptors, err = tableschemas.ReadDescriptors(os.DirFS(o.Descriptors)); err != nil {
		return out, &output.InputError{File: o.Descriptors, Err: fmt.Errorf("--descriptors: %w", err)}
	}
	return out, nil
}

// unread says that an archive could not be proved to its end: for want of what
// is in it, or of space for what proving keeps while it works.
func unread(path string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	file, ok := errors.AsType[*os.PathError](err)
	if temp := os.TempDir(); ok && output.Below(file.Path, temp) && !output.Below(file.Path, path) {
		return &output.Error{Path: temp, Err: err}
	}
	return &output.InputError{File: path, Err: err}
}

// asked proves an archive and puts the tests to each record of it.
func asked(ctx context.Context, path string, how prove.Options, tests *quality.Inquiry, w io.Writer, o Options) (*prove.Result, error) {
	var responses *quality.ResponseWriter
	if w != nil {
		var err error
		if responses, err = quality.NewResponseWriter(csv.NewWriter(w)); err != nil {
			return nil, err
		}
	}
	var sums quality.Measures
	doubts := causes.New()
	var written error
	result, err := records.Each(ctx, path, how, func(r *records.Record) error {
		answers := tests.Ask(r.Says)
		sums.Add(&answers)
		if o.Quality {
			for _, d := range doubtsOf(r, &answers) {
				doubts.Add(d)
			}
		}
		if responses != nil {
			written = responses.Write(&answers)
		}
		return written
	})
	switch {
	case written != nil:
		return nil, written
	case err != nil:
		return result, unread(path, err)
	}
	if responses != nil {
		if err := responses.Flush(); err != nil {
			return nil, err
		}
	}
	result.Findings = append(result.Findings, doubts.Findings()...)
	record.SortFindings(result.Findings)
	if o.Measures == "" {
		return result, nil
	}
	return result, output.WriteWhole(o.Measures, func(w io.Writer) error { return sums.Write(csv.NewWriter(w)) })
}

// doubtsOf returns the failed validations and the issues of a record, each at the
// cell that it is about.
func doubtsOf(r *records.Record, answers *quality.Answers) []causes.Doubt {
	var out []causes.Doubt
	for _, f := range answers.Findings(r.Says) {
		f.At = r.Cell(f.Field)
		own := f.At.File == r.At.File && f.At.Row == r.At.Row
		out = append(out, causes.Doubt{Finding: f, From: causes.OwnCell, OwnRow: own})
	}
	return out
}

// sources reads the lists that are supplied.
func (o *Options) sources() (s quality.Sources, err error) {
	s.Taxa = map[string]*quality.Taxa{}
	for _, named := range o.Taxa {
		authority, path := "", named
		if i := strings.LastIndexByte(named, '='); i >= 0 {
			authority, path = named[:i], named[i+1:]
		}
		if s.Taxa[authority], err = list(path, quality.ReadTaxa); err != nil {
			return s, err
		}
	}
	if s.Marine, err = list(o.Marine, quality.ReadMarine); err != nil {
		return s, err
	}
	if s.Divisions, err = list(o.Divisions, quality.ReadDivisions); err != nil {
		return s, err
	}
	s.Centroids, err = list(o.Centroids, quality.ReadCentroids)
	return s, err
}

// list reads a list of a user, if there is one.
func list[T any](path string, read func(r io.Reader, name string) (*T, error)) (*T, error) {
	if path == "" {
		return nil, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, &output.InputError{File: path, Err: err}
	}
	defer f.Close()
	out, err := read(f, filepath.Base(path))
	if err != nil {
		return nil, &output.InputError{File: path, Err: err}
	}
	return out, nil
}
