package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"runtime/debug"
	"strings"

	"benyomo/internal/app"
	"benyomo/internal/app/config"
	"benyomo/internal/edge/telegram"
	"benyomo/internal/idea/people"
)

// Names of what serve reads from the environment.
const (
	tokenVariable = "BENYOMO_TOKEN"
	apiVariable   = "BENYOMO_API"
)

func runServe(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("serve")
	file := fs.String("config", "community.yaml", "the community's configuration")
	data := fs.String("data", "", "folder of the program's data, in the place of the configuration's")
	if _, code, ok := parse(fs, args, 0, stdout, stderr); !ok {
		return code
	}
	c, err := config.Load(*file)
	if err != nil {
		return fail("serve", stderr, err)
	}
	if *data != "" {
		c.Data = *data
	}
	if api := os.Getenv(apiVariable); api != "" {
		if c.API, err = config.Endpoint(api); err != nil {
			return fail("serve", stderr, fmt.Errorf("%s: %w", apiVariable, err))
		}
	}
	token, err := readToken(c.TokenFile)
	if err != nil {
		return fail("serve", stderr, err)
	}
	pack, err := loadDialogs(c.Dialogs)
	if err != nil {
		return fail("serve", stderr, err)
	}
	if !pack.HasLanguage(c.Language) {
		return fail("serve", stderr, fmt.Errorf("language %q: the dialogs do not have it", c.Language))
	}
	a, err := app.Start(ctx, app.Options{Config: c, Token: token, Pack: pack, Version: version(),
		Log: slog.New(slog.NewTextHandler(stderr, nil))})
	if err != nil {
		return fail("serve", stderr, err)
	}
	greet(stdout, a)
	err = a.Wait(ctx)
	if err = errors.Join(err, a.Stop()); err != nil {
		return fail("serve", stderr, err)
	}
	fmt.Fprintln(stdout, "Stopped.")
	return fine
}

// greet prints that the bot runs, and the one-time links that nobody has used.
func greet(w io.Writer, a *app.App) {
	fmt.Fprintf(w, "@%s is running.\n", a.Name())
	for _, l := range a.Links() {
		who := "the office"
		if l.For == people.ApprovingRabbi {
			who = "the approving rabbi"
		}
		fmt.Fprintf(w, "\nWhoever opens this link first becomes %s. Give it to nobody else:\n    %s\n    (or writes to the bot: /start %s)\n", who, l.Address, l.Token)
	}
}

// readToken takes the token from the environment, or from the file that the configuration names.
func readToken(file string) (telegram.Secret, error) {
	if t := strings.TrimSpace(os.Getenv(tokenVariable)); t != "" {
		return telegram.Secret(t), nil
	}
	if file == "" {
		return "", fmt.Errorf("there is no token: set %s, or name a token-file in the configuration", tokenVariable)
	}
	raw, err := os.ReadFile(file)
	if err != nil {
		return "", fmt.Errorf("token: %w; or set %s", err, tokenVariable)
	}
	if t := strings.TrimSpace(string(raw)); t != "" {
		return telegram.Secret(t), nil
	}
	return "", fmt.Errorf("token: %s is empty", file)
}

// version is the program's own, from what the Go toolchain stamped into it.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			return s.Value[:min(12, len(s.Value))]
		}
	}
	return info.Main.Version
}
