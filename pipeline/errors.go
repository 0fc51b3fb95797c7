package pipeline

import "spadefoot/pipeline/output"

// The errors that end a walk.
type (
	CallError   = output.CallError
	InputError  = output.InputError
	OutputError = output.Error
)
