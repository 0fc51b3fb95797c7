package main

import (
	"os"

	"golang.org/x/sys/windows"
)

// knowsColours asks the console to follow escape sequences, and reports whether
// it does. Consoles before Windows 10 do not.
func knowsColours(f *os.File) bool {
	console := windows.Handle(f.Fd())
	var mode uint32
	if windows.GetConsoleMode(console, &mode) != nil {
		return false
	}
	return windows.SetConsoleMode(console, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
