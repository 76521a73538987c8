package approval

// Changes are the sentences of a dialog that are new since it was approved, and those that are gone.
type Changes struct{ New, Gone []string }

// Compare lists what changed between the sentences that were approved and those of now. A sentence that only moved has not
// changed.
func Compare(approved, now []string) Changes {
	return Changes{New: without(now, approved), Gone: without(approved, now)}
}

// without lists the sentences that stand more often in a than in b.
func without(a, b []string) []string {
	count := map[string]int{}
	for _, s := range b {
		count[s]++
	}
	var out []string
	for _, s := range a {
		if count[s]--; count[s] < 0 && s != "" {
			out = append(out, s)
		}
	}
	return out
}
