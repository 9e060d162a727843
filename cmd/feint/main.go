// Command feint proves printed puzzle mechanisms before they are printed.
//
// This package holds flags and exit statuses and nothing else; the work is in
// internal/pipeline. Run "feint help" for the commands.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/spf13/cobra"
)

// The exit statuses of feint.
const (
	exitFine      = 0 // works, or the command did what was asked
	exitFault     = 1 // the verdict is shortcut, stuck, open or clash
	exitBadInput  = 2 // a mistake in the design, a file or the command line
	exitUndecided = 3 // the verdict is undecided
	exitStopped   = 130
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	go func() {
		<-ctx.Done()
		stop() // a second Ctrl-C ends it at once
		endAfter(patience, os.Stderr, os.Exit)
	}()
	code := run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr})
	os.Exit(code)
}

// patience is how long a command may take to end once it was told to. Whatever is
// written is put in its place whole, so that nothing is broken by ending it then.
const patience = 10 * time.Second

// endAfter ends a command that goes on for longer than that.
func endAfter(wait time.Duration, w io.Writer, exit func(int)) {
	time.Sleep(wait)
	fmt.Fprintln(w, "feint: stopped; what it was at was not written")
	exit(exitStopped)
}

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// statusError carries an exit status through cobra without a message of its own.
type statusError int

func (s statusError) Error() string { return fmt.Sprintf("exit status %d", int(s)) }

// run is main without the process: it returns the exit status.
func run(ctx context.Context, args []string, s streams) int {
	root := newRoot(s)
	root.SetArgs(args)
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	err := root.ExecuteContext(ctx)
	var status statusError
	switch {
	case err == nil:
		return exitFine
	case errors.As(err, &status):
		return int(status)
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(s.err, "feint: stopped; nothing was written")
		return exitStopped
	default:
		fmt.Fprintf(s.err, "feint: %v\n", err)
		return exitBadInput
	}
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "feint",
		Short: "a proving bench for printed puzzle mechanisms",
		Long: `feint is a proving bench for printed puzzle mechanisms. It reads the design of a
box (its parts, how each may travel, the start, the goal and the steps it is
meant to take) and tells, before anything is printed, whether it opens, in how few
moves, whether every step is needed, and at which print size it binds or lets a
shortcut through.

Exit statuses: 0 it works; 1 it does not work as meant; 2 a mistake in the input;
3 undecided.`,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.AddCommand(newProve(s), newExport(s), newNew(s), newParams(s), newExplain(s), newBench(s), newVersion(s))
	root.AddCommand(newGauge(s), newPrinting(s), newHandle(s))
	root.AddCommand(newYield(s), newPrinter(s), newStack(s))
	root.AddCommand(newLog(s), newRevisions(s))
	return root
}
