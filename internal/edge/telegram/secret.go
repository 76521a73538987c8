package telegram

import (
	"fmt"
	"io"
	"log/slog"
	"regexp"
	"strings"
)

// masked is what is shown of a Secret.
const masked = "<secret>"

// Secret is a text that is not printed: not by fmt with any verb that fits a text, not by JSON, not by slog. A conversion
// to string reveals it; so does fmt when it complains of a verb that does not fit, which go vet finds.
type Secret string

// Format prints the mask for every verb.
func (Secret) Format(f fmt.State, _ rune) { _, _ = io.WriteString(f, masked) }

// String is the mask.
func (Secret) String() string { return masked }

// GoString is the mask.
func (Secret) GoString() string { return masked }

// MarshalText is the mask; encoding/json uses it too.
func (Secret) MarshalText() ([]byte, error) { return []byte(masked), nil }

// LogValue is the mask.
func (Secret) LogValue() slog.Value { return slog.StringValue(masked) }

var tokenForm = regexp.MustCompile(`^[0-9]+:[A-Za-z0-9_-]+$`)

// wellFormed tells whether the secret has the form of a token, which also makes it safe within an address.
func (s Secret) wellFormed() bool { return tokenForm.MatchString(string(s)) }

// hide replaces the secret in a text.
func (s Secret) hide(text string) string {
	if s == "" {
		return text
	}
	return strings.ReplaceAll(text, string(s), masked)
}
