// Command benyomo is the program's command line: one file a subcommand, each a row of the table in this file. What the
// commands do is the business of the packages that they call; nothing is decided here.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // zones are the same on every machine, and there where the machine has none
)

// Exit codes.
const (
	fine   = 0
	failed = 1 // the command ran and found something wrong, or could not do its work
	misuse = 2 // it was called wrongly
)

// command is one subcommand.
type command struct {
	name  string
	usage string // what stands after the name
	about string // one line
	run   func(ctx context.Context, args []string, stdout, stderr io.Writer) int
}

// commands are the subcommands in the order in which help lists them.
func commands() []command {
	return []command{
		{"rehearse", "[flags]", "try everything on this machine, with an invented community, on a web page", runRehearse},
		{"serve", "--config FILE [flags]", "run the bot", runServe},
		{"check", "[DIR] [--data FOLDER]", "read the dialogs, built in or in DIR, and list every mistake", runCheck},
		{"walk", "KIND --purpose PURPOSE [flags]", "walk given answers through the dialog about KIND and say what comes next", runWalk},
		{"find", "TEXT | --lines FILE", "say which kinds of item a text may mean, the best first", runFind},
		{"learn", "(-o FILE | --cross N) EXAMPLES… [flags]", "learn from labelled texts which kinds words mean, for find", runLearn},
		{"draw", "KIND [-o FILE.svg] [flags]", "draw the dialog about KIND as a flowchart", runDraw},
		{"handbook", "[-o FILE.html] [flags]", "write every dialog into one page for reading and printing", runHandbook},
		{"times", "(--config FILE | --lat N --lon N --tz ZONE) [flags]", "say the times of a day at a place: sun, hours, rest", runTimes},
		{"plan", "FILE [flags]", "plan the kashering of a whole kitchen back from its finish line", runPlan},
		{"init", "[FILE]", "write a commented example of the configuration", runInit},
		{"help", "[COMMAND]", "say what there is, or how COMMAND is called", runHelp},
	}
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run hands the arguments to their subcommand.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		overview(stderr)
		return misuse
	}
	name := args[0]
	if name == "-h" || name == "-help" || name == "--help" {
		name = "help"
	}
	c, ok := find(name)
	if !ok {
		fmt.Fprintf(stderr, "benyomo: there is no command %q\n\n", name)
		overview(stderr)
		return misuse
	}
	return c.run(ctx, args[1:], stdout, stderr)
}

func find(name string) (command, bool) {
	for _, c := range commands() {
		if c.name == name {
			return c, true
		}
	}
	return command{}, false
}

// flags is a flag set that prints nothing by itself: parse says what is wrong.
func flags(name string) *flag.FlagSet {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	return fs
}

// parse reads flags that may stand before and after the other arguments, of which there may be at most most. Where ok is
// false the command is over, with the code.
func parse(fs *flag.FlagSet, args []string, most int, stdout, stderr io.Writer) (rest []string, code int, ok bool) {
	for {
		err := fs.Parse(args)
		if errors.Is(err, flag.ErrHelp) {
			usage(fs.Name(), fs, stdout)
			return nil, fine, false
		}
		if err != nil {
			return nil, wrong(fs, stderr, "%v", err), false
		}
		if fs.NArg() == 0 {
			break
		}
		rest = append(rest, fs.Arg(0))
		args = fs.Args()[1:]
	}
	if len(rest) > most {
		return nil, wrong(fs, stderr, "%q is one argument too many", rest[most]), false
	}
	return rest, fine, true
}

// wrong says how the command was misused, and how it is called.
func wrong(fs *flag.FlagSet, stderr io.Writer, format string, args ...any) int {
	fmt.Fprintf(stderr, "benyomo %s: %s\n\n", fs.Name(), fmt.Sprintf(format, args...))
	usage(fs.Name(), fs, stderr)
	return misuse
}

// fail says why the command could not do its work.
func fail(name string, stderr io.Writer, err error) int {
	fmt.Fprintf(stderr, "benyomo %s: %v\n", name, err)
	return failed
}
