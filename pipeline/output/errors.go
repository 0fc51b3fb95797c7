package output

import (
	"errors"
	"fmt"
)

// CallError says that the call makes no sense: exit code 2.
type CallError struct{ Reason string }

func (e *CallError) Error() string { return e.Reason }

// InputError says that an input cannot be read: exit code 3.
type InputError struct {
	File string
	Err  error
}

func (e *InputError) Error() string { return e.Err.Error() }

func (e *InputError) Unwrap() error { return e.Err }

// Error says that the outputs cannot be written: exit code 4. What was there
// before is still there.
type Error struct {
	Path string
	Err  error
}

func (e *Error) Error() string {
	var halfway *halfwayError
	var full *fullError
	cause := e.Err.Error()
	switch words := noSpace(e.Err); {
	case errors.As(e.Err, &halfway):
		return fmt.Sprintf("cannot write %s: %v", e.Path, halfway)
	case errors.As(e.Err, &full):
		cause = full.Error()
	case words != "":
		cause = words + "; " + makeSpace
	}
	return fmt.Sprintf("cannot write %s: %s; earlier files are unchanged", e.Path, cause)
}

func (e *Error) Unwrap() error { return e.Err }

// halfwayError says that an exchange of outputs did not end in order, and what
// is in the output folder now.
type halfwayError struct {
	stands string
	err    error
}

func (e *halfwayError) Error() string { return fmt.Sprintf("%v; %s", e.err, e.stands) }

func (e *halfwayError) Unwrap() error { return e.err }
