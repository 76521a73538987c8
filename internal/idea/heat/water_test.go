package heat_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/heat"
)

// Computed elsewhere by t = V ρ c ΔT / (P η) with 0.998 kg/L and 4.186 kJ/(kg K), from 20 to 100 °C.
func TestMinutesToTheBoil(t *testing.T) {
	for _, c := range []struct{ litres, watts, ideal, efficiency, minutes float64 }{
		{1, 1500, 3.7, 0.80, 4.6},
		{1.7, 2200, 4.3, 0.85, 5.1},
		{5, 2000, 13.9, 0.70, 19.9},
		{10, 2000, 27.9, 0.60, 46.4},
		{10, 3000, 18.6, 0.70, 26.5},
		{20, 3000, 37.1, 0.60, 61.9},
	} {
		h := heat.Heating{Litres: c.litres, From: 20, To: 100, Watts: c.watts, Efficiency: 1}
		require.InDelta(t, 334*c.litres, got(t)(h.Energy()), c.litres, "334 kJ a litre")
		require.InDelta(t, c.ideal, got(t)(h.Minutes()), 0.051)
		h.Efficiency = c.efficiency
		require.InDelta(t, c.minutes, got(t)(h.Minutes()), 0.051)
	}
}

// Source: IAPWS SR1-86(1992), its check values: a kilogram of water takes 419.05 kJ from 0.01 °C to the boil, and a litre of
// it weighs 0.999789 kg when cold.
func TestEnergyAgreesWithTheRelease(t *testing.T) {
	h := heat.Heating{Litres: 1 / 0.999789, From: 0.01, To: 99.9743}
	require.InEpsilon(t, 419.05, got(t)(h.Energy()), 0.002)
}

// Water that boils already takes nothing, and at an altitude the way is shorter.
func TestTheWayToTheBoil(t *testing.T) {
	h := heat.Heating{Litres: 5, From: 100, To: 100, Watts: 2000, Efficiency: 0.7}
	require.Zero(t, got(t)(h.Minutes()))
	h.From = 20
	sea := got(t)(h.Minutes())
	h.To = got(t)(heat.BoilingAt(2240))
	require.InEpsilon(t, sea*(h.To-20)/80, got(t)(h.Minutes()), 1e-9)
}

// Computed elsewhere: five litres that fell by two degrees boil again after half a minute.
func TestComingBackToTheBoil(t *testing.T) {
	h := heat.Heating{Litres: 5, From: 98, To: 100, Watts: 2000, Efficiency: 0.7}
	require.InDelta(t, 0.5, got(t)(h.Minutes()), 0.05)
}

// Computed elsewhere: a kilogram of metal at 20 °C in water at 100 °C, whose litre then weighs 0.958 kg.
func TestSettling(t *testing.T) {
	for _, c := range []struct{ litres, specificHeat, celsius float64 }{
		{5, heat.SteelHeat, 98.1},
		{10, heat.SteelHeat, 99.0},
		{5, heat.AluminiumHeat, 96.6},
	} {
		celsius := got(t)(heat.Settling(c.litres, 100, heat.Item{Kilograms: 1, Celsius: 20, SpecificHeat: c.specificHeat}))
		require.InDelta(t, c.celsius, celsius, 0.051)
	}
}

// Follows from the conservation of energy: what the water gives is what the item takes.
func TestSettlingLosesNoEnergy(t *testing.T) {
	const litres, item = 8, 3 * heat.AluminiumHeat
	celsius := got(t)(heat.Settling(litres, 95, heat.Item{Kilograms: 3, Celsius: -18, SpecificHeat: heat.AluminiumHeat}))
	cold := heat.Heating{Litres: litres, From: 95, To: 96}
	perDegree := got(t)(cold.Energy())
	require.InDelta(t, perDegree*(95-celsius), item*(celsius+18), 1e-9)
	same := got(t)(heat.Settling(litres, 95, heat.Item{Kilograms: 3, Celsius: 95, SpecificHeat: 1}))
	require.InDelta(t, 95, same, 1e-9)
}

// Common practice, no source: ten to fifteen litres for three square metres; the estimate is the larger.
func TestPourEstimate(t *testing.T) {
	require.InDelta(t, 15, got(t)(heat.PourEstimate(3, heat.PourPerSquareMetre)), 1e-9)
	require.InDelta(t, 10, got(t)(heat.PourEstimate(2.5, 4)), 1e-9)
}

func TestWaterOutOfRange(t *testing.T) {
	good := heat.Heating{Litres: 5, From: 20, To: 100, Watts: 2000, Efficiency: 0.7}
	item := heat.Item{Kilograms: 1, Celsius: 20, SpecificHeat: heat.SteelHeat}
	minutes := func(change func(*heat.Heating)) func() (float64, error) {
		h := good
		change(&h)
		return h.Minutes
	}
	settling := func(litres, celsius float64, change func(*heat.Item)) func() (float64, error) {
		it := item
		change(&it)
		return func() (float64, error) { return heat.Settling(litres, celsius, it) }
	}
	same := func(*heat.Item) {}
	pour := func(area, depth float64) func() (float64, error) {
		return func() (float64, error) { return heat.PourEstimate(area, depth) }
	}
	nan := math.NaN()
	for want, f := range map[string]func() (float64, error){
		"volume 0 is not above 0 and at most 1000 litres":                                                                            minutes(func(h *heat.Heating) { h.Litres = 0 }),
		"volume 5000 is not above 0 and at most 1000 litres":                                                                         minutes(func(h *heat.Heating) { h.Litres = 5000 }),
		"water temperature -1 is not between 0 and 110 degrees Celsius":                                                              minutes(func(h *heat.Heating) { h.From = -1 }),
		"water temperature NaN is not between 0 and 110 degrees Celsius":                                                             minutes(func(h *heat.Heating) { h.From = nan }),
		"final temperature 212 is not between 0 and 110 degrees Celsius":                                                             minutes(func(h *heat.Heating) { h.To = 212 }),
		"final temperature NaN is not between 0 and 110 degrees Celsius":                                                             minutes(func(h *heat.Heating) { h.To = nan }),
		"final temperature 10 is below the first, 20 degrees Celsius":                                                                minutes(func(h *heat.Heating) { h.To = 10 }),
		"power 0 is not above 0 and at most 100000 watts":                                                                            minutes(func(h *heat.Heating) { h.Watts = 0 }),
		"power -1 is not above 0 and at most 100000 watts":                                                                           minutes(func(h *heat.Heating) { h.Watts = -1 }),
		"efficiency 0 is not above 0 and at most 1 of the whole":                                                                     minutes(func(h *heat.Heating) { h.Efficiency = 0 }),
		"efficiency 70 is not above 0 and at most 1 of the whole":                                                                    minutes(func(h *heat.Heating) { h.Efficiency = 70 }),
		"efficiency NaN is not above 0 and at most 1 of the whole":                                                                   minutes(func(h *heat.Heating) { h.Efficiency = nan }),
		"volume -5 is not above 0 and at most 1000 litres":                                                                           settling(-5, 100, same),
		"water temperature 111 is not between 0 and 110 degrees Celsius":                                                             settling(5, 111, same),
		"weight of the item 0 is not above 0 and at most 1000 kilograms":                                                             settling(5, 100, func(it *heat.Item) { it.Kilograms = 0 }),
		"specific heat of the item 500 is not above 0 and at most 10 kJ/(kg K)":                                                      settling(5, 100, func(it *heat.Item) { it.SpecificHeat = 500 }),
		"temperature of the item 300 is not between -50 and 100 degrees Celsius":                                                     settling(5, 100, func(it *heat.Item) { it.Celsius = 300 }),
		"temperature of the item -273 is not between -50 and 100 degrees Celsius":                                                    settling(5, 100, func(it *heat.Item) { it.Celsius = -273 }),
		"area 0 is not above 0 and at most 100 square metres":                                                                        pour(0, 5),
		"area NaN is not above 0 and at most 100 square metres":                                                                      pour(nan, 5),
		"pouring +Inf is not above 0 and at most 50 litres for each square metre":                                                    pour(3, math.Inf(1)),
		"area -1 is not above 0 and at most 100 square metres\npouring 0 is not above 0 and at most 50 litres for each square metre": pour(-1, 0),
	} {
		x, err := f()
		require.EqualError(t, err, want)
		require.Zero(t, x)
	}
}
