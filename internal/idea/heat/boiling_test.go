package heat_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/heat"
)

// got is the value of a call that must not fail.
func got(t *testing.T) func(float64, error) float64 {
	t.Helper()
	return func(x float64, err error) float64 {
		t.Helper()
		require.NoError(t, err)
		return x
	}
}

// Source: IAPWS R7-97(2012), Table 36, the values by which a program is to be checked; as public test suites carry them.
func TestBoilingAgreesWithTheRelease(t *testing.T) {
	for megapascals, kelvin := range map[float64]float64{0.1: 372.755919, 1: 453.035632, 10: 584.149488} {
		require.InDelta(t, kelvin, got(t)(heat.BoilingAtPressure(megapascals*1000))+273.15, 5e-7)
	}
}

// Source: IAPWS R7-97(2012), Table 35, the same line read the other way, pressure by temperature; as public test suites carry
// it. The two equations of the release have one solution, so that the table must come back.
func TestBoilingAgreesWithTheForwardTable(t *testing.T) {
	for kelvin, megapascals := range map[float64]float64{300: 0.353658941e-2, 500: 0.263889776e1, 600: 0.123443146e2} {
		require.InDelta(t, kelvin, got(t)(heat.BoilingAtPressure(megapascals*1000))+273.15, 1e-6)
	}
}

// Source: IAPWS SR1-86(1992), its table of check values: under one atmosphere water boils at 373.1243 K, by another equation.
func TestBoilingUnderOneAtmosphere(t *testing.T) {
	require.InDelta(t, 373.1243, got(t)(heat.BoilingAtPressure(101.325))+273.15, 0.0005)
}

// Computed elsewhere from the named formula and from Antoine's with A, B, C = 8.07131, 1730.63, 233.426 (log10 of mmHg, °C),
// which is another fit of the same line: it strays by at most 0.06 degrees at these pressures.
func TestBoilingBesideAntoine(t *testing.T) {
	for _, c := range []struct{ kPa, computed float64 }{
		{70, 89.93}, {80, 93.49}, {90, 96.69}, {95, 98.18}, {100, 99.61}, {101.325, 99.97},
	} {
		celsius := got(t)(heat.BoilingAtPressure(c.kPa))
		require.InDelta(t, c.computed, celsius, 0.005, c.kPa)
		antoine := 1730.63/(8.07131-math.Log10(c.kPa*1000/133.322)) - 233.426
		require.InDelta(t, antoine, celsius, 0.065, c.kPa)
	}
}

// Source: the pressure table of the standard atmosphere (ISO 2533; ICAO Doc 7488) by geopotential metres, in pascals, as
// public software carries it.
func TestAirPressureAgreesWithThePrintedTable(t *testing.T) {
	for _, c := range []struct{ metres, pascals float64 }{
		{0, 101325}, {100, 100129}, {200, 98945.3}, {500, 95460.8}, {800, 92076.4}, {1000, 89874.6}, {1500, 84556},
		{2000, 79495.2}, {2500, 74682.5}, {3000, 70108.5}, {4000, 61640.2}, {5000, 54019.9}, {6000, 47181}, {8000, 35599.8},
		{10000, 26436.3}, {11000, 22632.1},
	} {
		// To the last printed digit, and half of it for the rounding of the table.
		digit := math.Pow(10, math.Floor(math.Log10(c.pascals))-5)
		require.InDelta(t, c.pascals, got(t)(heat.AirPressure(c.metres))*1000, digit*0.6, c.metres)
	}
}

// Source: a published list of the standard atmosphere's pressure levels with their heights in whole metres (ICAO 1964), also
// below the sea. 700 hPa is at 3012 m, 1050 hPa at -302 m.
func TestAirPressureAgreesWithThePressureLevels(t *testing.T) {
	for hectopascals, metres := range map[float64]float64{
		1050: -302, 1013.25: 0, 1000: 111, 950: 540, 900: 988, 850: 1457, 800: 1949, 700: 3012, 600: 4206, 400: 7185, 300: 9164,
	} {
		// Within the metre: the list's heights are rounded.
		below, above := got(t)(heat.AirPressure(metres-1)), got(t)(heat.AirPressure(metres+1))
		require.Greater(t, below*10, hectopascals)
		require.Less(t, above*10, hectopascals)
	}
}

// Computed by other equations than the code's, with other software: the standard atmosphere's formula, then IAPWS SR1-86(1992),
// eq. 1, the vapour pressure, solved for the temperature by bisection (IF97 eq. 30, solved so, gives the same within 0.0001).
// The places only show what the heights are like; none is a measurement.
func TestBoilingByAltitude(t *testing.T) {
	for _, c := range []struct{ metres, kPa, celsius, fahrenheit float64 }{
		{-430, 106.5984, 101.4020, 214.5}, // the Dead Sea
		{0, 101.3250, 99.9743, 212.0},
		{500, 95.4608, 98.3125, 209.0},
		{760, 92.5219, 97.4476, 207.4}, // Jerusalem
		{1000, 89.8746, 96.6488, 206.0},
		{1609, 83.4311, 94.6196, 202.3}, // Denver
		{2000, 79.4952, 93.3150, 200.0},
		{2240, 77.1547, 92.5136, 198.5}, // Mexico City
		{3000, 70.1085, 89.9722, 194.0},
	} {
		require.InDelta(t, c.kPa, got(t)(heat.AirPressure(c.metres)), 0.0001, c.metres)
		celsius := got(t)(heat.BoilingAt(c.metres))
		require.InDelta(t, c.celsius, celsius, 0.0003, c.metres)
		require.InDelta(t, c.fahrenheit, heat.Fahrenheit(celsius), 0.05, c.metres)
	}
}

// Computed elsewhere: near 100 kPa a kilopascal is 0.28 degrees, and so the weather's 4 are about one degree.
func TestTheWeatherMovesTheBoilByADegree(t *testing.T) {
	require.InDelta(t, 0.28, got(t)(heat.BoilingAtPressure(100.5))-got(t)(heat.BoilingAtPressure(99.5)), 0.005)
	require.InDelta(t, 1, got(t)(heat.BoilingAtPressure(105.325))-got(t)(heat.BoilingAtPressure(101.325)), 0.15)
}

// Higher is colder, everywhere in the range, and never a number that is not one.
func TestBoilingFallsWithAltitude(t *testing.T) {
	before := math.Inf(1)
	for metres := float64(heat.MinAltitude); metres <= heat.MaxAltitude; metres++ {
		celsius := got(t)(heat.BoilingAt(metres))
		require.Less(t, celsius, before, metres)
		before = celsius
	}
	before = math.Inf(-1)
	for kPa := heat.MinPressure; kPa <= heat.MaxPressure; kPa *= 1.001 {
		celsius := got(t)(heat.BoilingAtPressure(kPa))
		require.Greater(t, celsius, before, kPa)
		before = celsius
	}
}

// Source of the two ends: R7-97(2012), section 8: 0 °C, and the critical point of water at 647.096 K.
func TestTheEndsOfTheLine(t *testing.T) {
	require.InDelta(t, 0, got(t)(heat.BoilingAtPressure(heat.MinPressure)), 0.001)
	require.InDelta(t, 647.096-273.15, got(t)(heat.BoilingAtPressure(heat.MaxPressure)), 0.001)
}

func TestOutOfRange(t *testing.T) {
	for _, c := range []struct {
		f    func(float64) (float64, error)
		x    float64
		want string
	}{
		{heat.AirPressure, -2000.1, "altitude -2000.1 is not between -2000 and 11000 metres"},
		{heat.AirPressure, 11001, "altitude 11001 is not between -2000 and 11000 metres"},
		{heat.AirPressure, math.NaN(), "altitude NaN is not between -2000 and 11000 metres"},
		{heat.AirPressure, math.Inf(1), "altitude +Inf is not between -2000 and 11000 metres"},
		{heat.BoilingAt, 44331, "altitude 44331 is not between -2000 and 11000 metres"}, // there the formula has no root
		{heat.BoilingAt, math.Inf(-1), "altitude -Inf is not between -2000 and 11000 metres"},
		{heat.BoilingAtPressure, 0.6, "pressure 0.6 is not between 0.611213 and 22064 kilopascals"},
		{heat.BoilingAtPressure, 22065, "pressure 22065 is not between 0.611213 and 22064 kilopascals"},
		{heat.BoilingAtPressure, 0, "pressure 0 is not between 0.611213 and 22064 kilopascals"},
		{heat.BoilingAtPressure, -100, "pressure -100 is not between 0.611213 and 22064 kilopascals"},
		{heat.BoilingAtPressure, math.NaN(), "pressure NaN is not between 0.611213 and 22064 kilopascals"},
	} {
		x, err := c.f(c.x)
		require.EqualError(t, err, c.want)
		require.Zero(t, x)
	}
}

// Source: the definitions of the two scales; -40 is where they meet.
func TestFahrenheitBothWays(t *testing.T) {
	for celsius, fahrenheit := range map[float64]float64{-40: -40, 0: 32, 37: 98.6, 60: 140, 100: 212, 480: 896} {
		require.InDelta(t, fahrenheit, heat.Fahrenheit(celsius), 1e-9)
		require.InDelta(t, celsius, heat.Celsius(fahrenheit), 1e-9)
	}
}
