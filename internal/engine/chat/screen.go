package chat

// Screen is what a conversation shows now, and is enough to show it again. Step grows with every change: buttons carry it,
// so that a button of an older screen is known as such.
type Screen struct {
	Chat   ID       `json:"chat"`
	Step   uint64   `json:"step"`
	Name   string   `json:"name"`
	Args   []string `json:"args,omitempty"`
	Handle Handle   `json:"handle,omitempty"` // the message that shows it
	Keep   bool     `json:"keep,omitempty"`   // it stays as it is when the next screen comes, buttons and all
}

// Arg returns the argument i, or "".
func (s Screen) Arg(i int) string {
	if i < len(s.Args) {
		return s.Args[i]
	}
	return ""
}
