package heat

import "math"

// Altitudes for which AirPressure answers, in metres above the sea: from where the tables of ISO 2533 begin to the top of the
// layer in which its temperature falls evenly.
const (
	MinAltitude = -2000
	MaxAltitude = 11000
)

// AirPressure is the pressure of the air, in kilopascals, at an altitude in metres above the sea, in the standard atmosphere
// of ISO 2533 and ICAO Doc 7488. It errs outside MinAltitude to MaxAltitude.
//
// The standard counts geopotential metres. Up to 5000 m they differ from a surveyor's by less than 4, which is less than 0.02
// degrees of the boiling point. Weather moves the pressure at sea level by about 4 kilopascals either way.
func AirPressure(metres float64) (kPa float64, err error) {
	if err := between("altitude", metres, MinAltitude, MaxAltitude, "metres"); err != nil {
		return 0, err
	}
	const (
		seaPressure    = 101.325   // kPa
		seaTemperature = 288.15    // K
		lapse          = 0.0065    // K for each metre
		gravity        = 9.80665   // m/s²
		gasConstant    = 287.05287 // of dry air, J/(kg K)
	)
	return seaPressure * math.Pow(1-lapse*metres/seaTemperature, gravity/(lapse*gasConstant)), nil
}

// Pressures between which water has a boiling point, in kilopascals: IAPWS R7-97(2012), section 8.2.
const (
	MinPressure = 0.611213 // below it there is only ice and vapour
	MaxPressure = 22064    // above it water and steam are one
)

const zeroCelsius = 273.15 // K

// BoilingAtPressure is the temperature, in degrees Celsius, at which pure water boils under a pressure in kilopascals:
// IAPWS-IF97, region 4, the backward equation (R7-97(2012), eq. 31). It errs outside MinPressure to MaxPressure.
func BoilingAtPressure(kPa float64) (celsius float64, err error) {
	if err := between("pressure", kPa, MinPressure, MaxPressure, "kilopascals"); err != nil {
		return 0, err
	}
	// The coefficients of R7-97(2012), Table 34; letters as in the release.
	const (
		n1  = 0.11670521452767e4
		n2  = -0.72421316703206e6
		n3  = -0.17073846940092e2
		n4  = 0.12020824702470e5
		n5  = -0.32325550322333e7
		n6  = 0.14915108613530e2
		n7  = -0.48232657361591e4
		n8  = 0.40511340542057e6
		n9  = -0.23855557567849
		n10 = 0.65017534844798e3
	)
	beta := math.Sqrt(math.Sqrt(kPa / 1000)) // the formula counts megapascals
	e := beta*beta + n3*beta + n6
	f := n1*beta*beta + n4*beta + n7
	g := n2*beta*beta + n5*beta + n8
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	kelvin := (n10 + d - math.Sqrt((n10+d)*(n10+d)-4*(n9+n10*d))) / 2
	return kelvin - zeroCelsius, nil
}

// BoilingAt is the temperature, in degrees Celsius, at which water boils at an altitude in metres above the sea, in average
// weather. It errs where AirPressure does.
func BoilingAt(metres float64) (celsius float64, err error) {
	kPa, err := AirPressure(metres)
	if err != nil {
		return 0, err
	}
	return BoilingAtPressure(kPa)
}

// Fahrenheit is a temperature of degrees Celsius in degrees Fahrenheit.
func Fahrenheit(celsius float64) float64 { return celsius*9/5 + 32 }

// Celsius is a temperature of degrees Fahrenheit in degrees Celsius.
func Celsius(fahrenheit float64) float64 { return (fahrenheit - 32) * 5 / 9 }
