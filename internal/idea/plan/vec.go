package plan

// vec is an amount of every resource, one in each byte. No amount exceeds 127, so that bytes are compared all at once.
type vec uint64

const high = vec(0x8080808080808080)

func vecOf(amounts [resources]int) vec {
	var v vec
	for i, a := range amounts {
		v |= vec(a) << (8 * i)
	}
	return v
}

// of is the amount of one resource.
func (v vec) of(r int) int { return int(v >> (8 * r) & 0x7f) }

func (v vec) plus(w vec) vec { return v + w }

// without is the vec with nothing of one resource.
func (v vec) without(r int) vec { return v &^ (0xff << (8 * r)) }

// within reports whether no amount is more than in w.
func (v vec) within(w vec) bool { return ((w|high)-v)&high == high }
