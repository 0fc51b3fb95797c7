// Command spadefoot turns a folder of field sheets into a checked Darwin Core
// archive with every doubt named.
//
//	spadefoot run FOLDER --out DIR    archive, findings and report
//	spadefoot check FOLDER            findings only, for a quick look and for CI
//	spadefoot remedies FOLDER         a table of findings for a person to decide on
//	spadefoot observers FOLDER --out DIR    compare the people who measure
//	spadefoot forms FOLDER --out DIR  a workbook to type into and a page to print
//	spadefoot desk FOLDER             pages to look, decide, type in and publish in a browser
//	spadefoot draft SHEET... --out FOLDER    propose a survey folder for sheets, or a folder of them, that nobody mapped
//	spadefoot prove PATH              hold any Darwin Core archive against the standard
//	spadefoot help TOPIC              explain a topic, a verb or a rule
//	spadefoot version                 the version of the program
//
// Exit codes: 0 nothing at or above the failing level; 1 findings at or above
// it; 2 the call or the configuration is wrong; 3 an input cannot be read;
// 4 the output cannot be written.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"
)

func main() {
	if err := enoughAddresses(ofProcess); err != nil {
		fmt.Fprintln(os.Stderr, "spadefoot: "+err.Error())
		os.Exit(exitInput)
	}
	ctx, above := begun()
	collectSeldom(above)
	ctx, stop := signal.NotifyContext(ctx, endings()...)
	context.AfterFunc(ctx, func() {
		stop() // whoever asks twice is not kept waiting
		endWithin(patience, os.Stderr, os.Exit)
	})
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// patience is how long the program may take to end in order once it was asked to.
const patience = 10 * time.Second

// endWithin ends the program where it does not do so itself: a step that takes
// long does not keep waiting whoever asked it to end. The next run into the same
// folder puts in order what is left, as after a crash.
func endWithin(d time.Duration, stderr io.Writer, exit func(int)) {
	time.AfterFunc(d, func() {
		fmt.Fprintf(stderr, "spadefoot: a step did not finish within %v and was aborted; earlier output is intact\n", d)
		exit(exitStopped)
	})
}

// endings are the signals that let the program walk out in order: an interrupt,
// the system's request to end, and a terminal that is closed, unless the caller
// wants the program to outlive its terminal.
func endings() []os.Signal {
	all := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		all = append(all, syscall.SIGHUP)
	}
	return all
}
