package pipeline

import "spadefoot/pipeline/output"

// CallError says that the call makes no sense: exit code 2.
type CallError struct{ Reason string }

func (e *CallError) Error() string { return e.Reason }

// InputError says that an input cannot be read: exit code 3.
type InputError = output.InputError

// OutputError says that the outputs cannot be written: exit code 4. What was
// there before is still there.
type OutputError = output.Error
