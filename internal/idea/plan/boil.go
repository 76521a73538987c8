package plan

import (
	"math"

	physics "benyomo/internal/idea/heat"
	"benyomo/internal/idea/luach"
)

// What is taken of a household's burner and water, to reckon how long water takes to the boil. Common practice, no source: a
// large burner of a household's hob, and water from the tap. With them twelve litres take 45 minutes at sea level, and eight
// half an hour, which are the estimates of the rows.
const (
	burnerWatts      = 2700
	burnerEfficiency = 0.6
	tapCelsius       = 15
)

// boil is how long water takes to the boil, in minutes: reckoned where the place has an elevation and the row says how much
// water it is, else the row's own estimate.
func (n *network) boil(minutes, litres int) int {
	p := n.kitchen.Place
	if p.Elevation <= 0 || litres == 0 {
		return minutes
	}
	to, err := physics.BoilingAt(p.Elevation)
	if err != nil {
		return minutes
	}
	takes, err := physics.Heating{Litres: float64(litres), From: tapCelsius, To: to, Watts: burnerWatts, Efficiency: burnerEfficiency}.Minutes()
	if err != nil {
		return minutes
	}
	return int(math.Ceil(takes))
}

// boils is at how many whole degrees Celsius water boils at the place; 0 where its elevation is not given.
func boils(p luach.Place) int {
	if p.Elevation <= 0 {
		return 0
	}
	c, err := physics.BoilingAt(p.Elevation)
	if err != nil {
		return 0
	}
	return int(math.Round(c))
}
