//go:build race

package plan

// share is the part of the kitchens made by chance that tests go through: the race detector makes a search many times slower, and
// nothing here runs at once but the tests themselves.
const share = 3
