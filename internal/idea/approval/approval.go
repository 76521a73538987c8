// Package approval answers one question: may this be told? Only content whose hashes the community's rabbi has approved
// is; and the community's position on a switch is looked up by the household's custom under a default.
package approval

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// Approval is the rabbi's approval of one dialog: the hash of its logic, and of its words in each language.
type Approval struct {
	Kind  string            `json:"kind"`
	Logic string            `json:"logic"`
	Words map[string]string `json:"words"`
	By    int64             `json:"by"`
	At    time.Time         `json:"at"`
}

// Of is the approval of a tree as it stands.
func Of(t *dialog.Tree, p *dialog.Pack, by int64, at time.Time) Approval {
	a := Approval{Kind: t.Kind.S, Logic: t.Logic(), Words: map[string]string{}, By: by, At: at}
	for _, l := range p.Languages {
		a.Words[l.Code.S] = t.Words(l.Code.S)
	}
	return a
}

// Standing says how a tree stands against its approval.
type Standing string

const (
	Approved     Standing = "approved"
	Never        Standing = "never"         // it was never approved
	LogicChanged Standing = "logic-changed" // something that decides has changed
	WordsChanged Standing = "words-changed" // only words have, in this language
)

// Judge compares a tree with its approval, for a language. given is false where there is none.
func Judge(t *dialog.Tree, lang string, a Approval, given bool) Standing {
	switch {
	case !given:
		return Never
	case a.Logic != t.Logic():
		return LogicChanged
	case a.Words[lang] != t.Words(lang):
		return WordsChanged
	}
	return Approved
}

// Positions are the community's, by switch and custom.
type Positions map[string]map[string]string

// Lookup is the view of a household of the custom: its own custom's position, else the community's default.
func (p Positions) Lookup(custom string) triage.Lookup {
	return func(id string) (string, bool) {
		by := p[id]
		if pos, ok := by[custom]; ok {
			return pos, true
		}
		pos, ok := by[triage.AnyCustom]
		return pos, ok
	}
}

// Set records a position; an empty one unsets it.
func (p Positions) Set(switchID, custom, position string) {
	if position == "" {
		delete(p[switchID], custom)
		return
	}
	if p[switchID] == nil {
		p[switchID] = map[string]string{}
	}
	p[switchID][custom] = position
}

// Mark is a short hash of everything in the trees that is approved: a button that carries it approves only what was shown.
func Mark(p *dialog.Pack, trees ...*dialog.Tree) string {
	h := sha256.New()
	for _, t := range trees {
		h.Write([]byte(t.Logic()))
		for _, l := range p.Languages {
			h.Write([]byte(t.Words(l.Code.S)))
		}
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}
