package kitchen

import (
	"time"

	"benyomo/internal/idea/triage"
)

// Telling records an outcome that was told, with all that led to it: it answers 'why did it say that in March?'.
type Telling struct {
	ID        uint64            `json:"id"`
	Household uint64            `json:"household"`
	Item      uint64            `json:"item"`
	Kind      string            `json:"kind"`
	Outcome   string            `json:"outcome"`
	Content   string            `json:"content"` // hash of the outcome
	Logic     string            `json:"logic"`   // hash of the tree's logic
	Words     string            `json:"words"`   // hash of its words in Lang
	Lang      string            `json:"lang"`
	Purpose   string            `json:"purpose"`
	Custom    string            `json:"custom"`
	Path      []triage.Step     `json:"path,omitempty"`
	Positions map[string]string `json:"positions,omitempty"`
	Shayla    uint64            `json:"shayla,omitempty"` // the question by which the rabbi chose it himself
	At        time.Time         `json:"at"`
	Version   string            `json:"version"` // of the program
}
