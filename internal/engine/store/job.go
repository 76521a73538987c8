package store

import "iter"

// Job is heavy work that was asked for and is computed outside the writer. Jobs of the same Key replace each other: what was
// asked last counts.
type Job struct {
	Key       string `json:"key"`  // such as "plan-7": at most one job has it
	Kind      string `json:"kind"` // which room it goes to
	Number    uint64 `json:"number"`
	Household uint64 `json:"household,omitempty"`
	Rev       uint64 `json:"rev,omitempty"` // of what it was asked for: a later change makes its result void
	Person    int64  `json:"person,omitempty"`
	Arg       string `json:"arg,omitempty"`
}

var jobs = table[Job]{"job", 1} // key → job

// AskFor asks for a job, in the place of the one with its key.
func (tx *Tx) AskFor(j Job) {
	j.Number = tx.next(jobs.bucket)
	jobs.put(tx, key(j.Key), j)
	tx.asked = true
}

// EndJob takes a job away, and reports whether it was still the one that was asked for last.
func (tx *Tx) EndJob(j Job) bool {
	now, ok := jobs.get(tx, key(j.Key))
	if !ok || now.Number != j.Number {
		return false
	}
	jobs.delete(tx, key(j.Key))
	return true
}

// Jobs yields the jobs that wait, by key.
func (tx *Tx) Jobs() iter.Seq[Job] { return values(jobs.all(tx, nil)) }

// NextJob is the job that has waited longest, of those that may be done now.
func (tx *Tx) NextJob(may func(Job) bool) (next Job, ok bool) {
	for j := range tx.Jobs() {
		if may(j) && (!ok || j.Number < next.Number) {
			next, ok = j, true
		}
	}
	return next, ok
}
