package member

import "benyomo/internal/engine/turn"

// Jobs is the heavy work of this room, by kind.
func Jobs() map[string]turn.Job { return map[string]turn.Job{} }
