package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"text/tabwriter"
)

func runHelp(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("help")
	rest, code, ok := parse(fs, args, 1, stdout, stderr)
	switch {
	case !ok:
		return code
	case len(rest) == 0:
		overview(stdout)
		return fine
	}
	c, ok := find(rest[0])
	if !ok {
		return wrong(fs, stderr, "there is no command %q", rest[0])
	}
	return c.run(ctx, []string{"-help"}, stdout, stderr)
}

// overview lists the subcommands.
func overview(w io.Writer) {
	fmt.Fprintf(w, "benyomo sorts a community's questions about kashering.\n\nCommands:\n")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range commands() {
		fmt.Fprintf(t, "  %s\t%s\n", c.name, c.about)
	}
	t.Flush()
	fmt.Fprintf(w, "\n`benyomo help COMMAND` says how a command is called.\n")
}

// usage says how one subcommand is called.
func usage(name string, fs *flag.FlagSet, w io.Writer) {
	c, _ := find(name)
	fmt.Fprintf(w, "benyomo %s %s\n  %s\n", c.name, c.usage, c.about)
	any := false
	fs.VisitAll(func(*flag.Flag) { any = true })
	if any {
		fmt.Fprintf(w, "\nFlags:\n")
		fs.SetOutput(w)
		fs.PrintDefaults()
	}
}
