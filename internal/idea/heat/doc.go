// Package heat knows the physics of boiling water that a kashering needs: at what temperature water boils at an altitude, how
// long a pot takes to the boil, how far a cold item cools it, and about how much water a counter takes.
//
// It rules on nothing and times nothing: whether water that stopped bubbling still kashers is a question for the dialogs and
// the rabbi. Its numbers are for planning. Weather alone moves the boiling point by about a degree, so nobody is to be told to
// reach a number on a thermometer: water that bubbles, boils.
//
// Units are metres, kilopascals, degrees Celsius, litres, kilograms, kilojoules, watts and minutes. A function refuses what
// lies outside the range of its formula with an error, and so never answers with a number that is not one.
package heat

import "fmt"

// between returns an error unless low <= x <= high. A number that is not one is never between.
func between(what string, x, low, high float64, unit string) error {
	if x >= low && x <= high {
		return nil
	}
	return fmt.Errorf("%s %v is not between %v and %v %s", what, x, low, high, unit)
}

// positive returns an error unless 0 < x <= high.
func positive(what string, x, high float64, unit string) error {
	if x > 0 && x <= high {
		return nil
	}
	return fmt.Errorf("%s %v is not above 0 and at most %v %s", what, x, high, unit)
}
