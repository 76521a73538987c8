package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	iofs "io/fs"
	"os"

	"benyomo/internal/app/config"
)

// defaultConfig is where the configuration is written to, and read from, where no file is named.
const defaultConfig = "community.yaml"

func runInit(_ context.Context, args []string, stdout, stderr io.Writer) int {
	rest, code, ok := parse(flags("init"), args, 1, stdout, stderr)
	if !ok {
		return code
	}
	path := defaultConfig
	if len(rest) > 0 {
		path = rest[0]
	}
	if err := writeNew(path, config.Example); err != nil {
		return fail("init", stderr, err)
	}
	fmt.Fprintf(stdout, "wrote %s: an example of an invented community. Change every line that is yours.\n", path)
	return fine
}

// writeNew writes a file that is not there yet, whole or not at all.
func writeNew(path string, raw []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, iofs.ErrExist) {
		return fmt.Errorf("%s exists already and is left as it is", path)
	}
	if err != nil {
		return err
	}
	_, err = f.Write(raw)
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}
