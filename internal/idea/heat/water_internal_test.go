package heat

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: IAPWS SR1-86(1992), its table of check values for the density of the liquid, in kg/m³, by kelvin; as public test
// suites carry it.
func TestDensityAgreesWithTheRelease(t *testing.T) {
	require.InDelta(t, 999.789, density(273.16-zeroCelsius)*1000, 0.0006)
	require.InDelta(t, 958.365, density(373.1243-zeroCelsius)*1000, 0.0006)
	require.InDelta(t, 322, density(647.096-zeroCelsius)*1000, 1e-6)
}

// Source: the enthalpies of the same table, 0.000612 kJ/kg at 273.16 K and 419.05 at 373.1243 K: what a kilogram takes from
// the ice to the boil.
func TestTheSpecificHeatIsTheMeanOfTheRelease(t *testing.T) {
	mean := (419.05 - 0.000612) / (373.1243 - 273.16)
	require.InEpsilon(t, mean, WaterHeat, 0.002)
}
