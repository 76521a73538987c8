package heat

import (
	"errors"
	"fmt"
	"math"
)

// Bounds of what is reckoned with here. They are wider than any kitchen, and narrow enough that a slip of the keyboard, such
// as millilitres for litres, is noticed.
const (
	maxLitres     = 1000
	maxWatts      = 100_000
	maxKilograms  = 1000
	maxWater      = 110 // °C; in the open, water is never so hot at any altitude of AirPressure
	coldest       = -50 // °C, of an item
	maxItemHeat   = 10  // kJ/(kg K); no solid has as much
	secondsMinute = 60
)

// Specific heats, in kJ/(kg K).
const (
	// WaterHeat is that of liquid water. It is taken as constant: the mean from the ice to the boil is 0.2 % higher.
	WaterHeat     = 4.186
	SteelHeat     = 0.5 // (from memory)
	AluminiumHeat = 0.9 // (from memory)
)

// density is that of liquid water, in kilograms for each litre, at 0 to maxWater degrees Celsius: the equation of IAPWS
// SR1-86(1992) for water at its own vapour pressure, from which that of the open air differs by less than 0.01 %.
func density(celsius float64) float64 {
	const (
		criticalTemperature = 647.096 // K
		criticalDensity     = 0.322   // kg/L
	)
	tau := 1 - (celsius+zeroCelsius)/criticalTemperature
	third := math.Cbrt(tau)
	return criticalDensity * (1 + 1.99274064*third + 1.09965342*third*third - 0.510839303*math.Pow(third, 5) -
		1.75493479*math.Pow(third, 16) - 45.5170352*math.Pow(third, 43) - 6.74694450e5*math.Pow(third, 110))
}

// water checks an amount of water and gives the heat that warms it by one degree, in kJ/K.
func water(litres, celsius float64) (perDegree float64, err error) {
	err = errors.Join(
		positive("volume", litres, maxLitres, "litres"),
		between("water temperature", celsius, 0, maxWater, "degrees Celsius"),
	)
	if err != nil {
		return 0, err
	}
	return litres * density(celsius) * WaterHeat, nil
}

// Heating is the way of a pot of water to the boil.
type Heating struct {
	Litres float64 // measured at the temperature From
	From   float64 // °C, at the start
	To     float64 // °C; the boiling point of the place is BoilingAt
	Watts  float64 // of the burner, as its maker states it
	// Efficiency is the part of the power that arrives in the water: above 0, at most 1. About 0.6 for a large pot on a burner
	// and 0.85 for a closed electric kettle (common practice, no source): an estimate to be replaced by a measured one.
	Efficiency float64
}

// Energy is the heat that the water takes up, in kilojoules; that of the pot is part of the efficiency. It errs where the
// amount or a temperature is out of range, or the water would have to cool.
func (h Heating) Energy() (kJ float64, err error) {
	perDegree, err := water(h.Litres, h.From)
	if err == nil {
		err = between("final temperature", h.To, 0, maxWater, "degrees Celsius")
	}
	switch {
	case err != nil:
		return 0, err
	case h.To < h.From:
		return 0, fmt.Errorf("final temperature %v is below the first, %v degrees Celsius", h.To, h.From)
	}
	return perDegree * (h.To - h.From), nil
}

// Minutes is how long the heating takes, in minutes. It errs where Energy does, and where the power or the efficiency is out
// of range.
func (h Heating) Minutes() (float64, error) {
	kJ, err := h.Energy()
	if err != nil {
		return 0, err
	}
	if err := errors.Join(
		positive("power", h.Watts, maxWatts, "watts"),
		positive("efficiency", h.Efficiency, 1, "of the whole"),
	); err != nil {
		return 0, err
	}
	return kJ * 1000 / (h.Watts * h.Efficiency) / secondsMinute, nil
}

// Item is what is put into hot water.
type Item struct {
	Kilograms    float64
	Celsius      float64 // its temperature before; not above that of the water
	SpecificHeat float64 // kJ/(kg K), such as SteelHeat
}

// Settling is the temperature, in degrees Celsius, to which water of so many litres and degrees Celsius and a cold item in it
// come together, where nothing heats them meanwhile and nothing is lost. It errs where a quantity is out of range, or the item
// is hotter than the water.
func Settling(litres, celsius float64, it Item) (float64, error) {
	ofWater, err := water(litres, celsius)
	if err != nil {
		return 0, err
	}
	if err := errors.Join(
		positive("weight of the item", it.Kilograms, maxKilograms, "kilograms"),
		positive("specific heat of the item", it.SpecificHeat, maxItemHeat, "kJ/(kg K)"),
		between("temperature of the item", it.Celsius, coldest, celsius, "degrees Celsius"),
	); err != nil {
		return 0, err
	}
	ofItem := it.Kilograms * it.SpecificHeat
	return (ofWater*celsius + ofItem*it.Celsius) / (ofWater + ofItem), nil
}
