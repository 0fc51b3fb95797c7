package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"syscall"

	"spadefoot/pipeline/record/held"
)

// inWords is an error as a person reads it: what the system says of a file is
// put into words, with what to do next.
func inWords(err error) string {
	text := err.Error()
	for _, file := range ofFiles(err) {
		text = strings.Replace(text, file.Error(), file.Path+": "+ofFile(file.Err), 1)
	}
	if errors.Is(err, context.Canceled) {
		text = strings.Replace(text, context.Canceled.Error(), "interrupted; earlier output is intact", 1)
	}
	if word, rest, found := strings.Cut(text, "unknown command "); found && word == "" {
		verb, rest, _ := strings.Cut(rest, " for ")
		text = "there is no verb " + verb
		if _, nearest, found := strings.Cut(rest, "Did you mean this?\n\t"); found {
			text += fmt.Sprintf("; did you mean %s?", strings.Join(strings.Fields(nearest), " or "))
		} else {
			text += "; spadefoot help lists them"
		}
	}
	if flag, found := strings.CutPrefix(text, "unknown flag: "); found {
		text = fmt.Sprintf("there is no flag %s here; VERB --help lists the flags", flag)
	}
	if found := badValue.FindStringSubmatch(text); found != nil {
		text = fmt.Sprintf("%s: found %s; it %s", found[2], found[1], strings.Replace(found[3], "an integer", "a whole number", 1))
	}
	return text
}

// badValue is what the library says of a value that a flag does not take.
var badValue = regexp.MustCompile(`^invalid argument ("(?:[^"\\]|\\.)*") for "(?:-., )?(--[a-z-]+)" flag: (.*)$`)

// ofFiles are the errors of files that an error tells of.
func ofFiles(err error) []*fs.PathError {
	if file, ok := err.(*fs.PathError); ok {
		return []*fs.PathError{file}
	}
	switch e := err.(type) {
	case interface{ Unwrap() []error }:
		var all []*fs.PathError
		for _, one := range e.Unwrap() {
			all = append(all, ofFiles(one)...)
		}
		return all
	case interface{ Unwrap() error }:
		return ofFiles(e.Unwrap())
	}
	return nil
}

// ofFile says what is wrong with a file, and what to do.
func ofFile(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file or folder; check the name, including upper and lower case"
	case errors.Is(err, fs.ErrPermission):
		return "you are not allowed to open it; ask its owner, or change its permissions"
	case errors.Is(err, syscall.EISDIR):
		return "it is a folder, not a file; give the name of a file"
	case errors.Is(err, syscall.ENOTDIR):
		return "part of this path is a file, not a folder; check the path"
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full; free some space, and run again"
	case errors.Is(err, syscall.EMFILE):
		return "the program has reached the system's limit of open files; allow more (ulimit -n 1024), and run again"
	case errors.Is(err, syscall.ENFILE):
		return "the system's limit of open files is reached; close some programs, and run again"
	case held.Is(err):
		return "another program has it open; close it there, and run again"
	}
	return strings.TrimRight(err.Error(), ".\r\n") + "; check that the file is there and can be opened"
}
