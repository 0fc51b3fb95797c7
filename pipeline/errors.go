package pipeline

import "fmt"

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

// OutputError says that the outputs cannot be written: exit code 4. What was
// there before is still there.
type OutputError struct {
	Path string
	Err  error
}

func (e *OutputError) Error() string {
	return fmt.Sprintf("cannot write %s: %v; what was there before is unchanged", e.Path, e.Err)
}

func (e *OutputError) Unwrap() error { return e.Err }
