// Package unit reads, holds and writes the quantities of a water system, so
// that a number never travels without its unit. The three lines to copy:
//
//	cutIn, err := unit.Parse[unit.Pressure]("30 psi ± 4") // ± is 95 %, two standard deviations
//	rise := 45*unit.PSI - cutIn.Value
//	fmt.Printf("%.1f, or %.0f kPa\n", rise, rise.Kilopascals()) // 15.0 psi, or 103 kPa
//
// A quantity is a float64 in its SI unit, as time.Duration is an int64 in
// nanoseconds: multiply to make one, divide or ask ([Pressure.PSI]) to take it
// apart. Text for people is chosen by a [System]; text for machines
// (MarshalText) is the SI value with the shortest digits that return bit for
// bit. Gauge and absolute pressure are two types. Types do not check
// everything: PSI*PSI compiles. Do a law's algebra in float64.
package unit

import (
	"encoding"
	"fmt"
)

// The quantities of a water system, each held in its SI base unit. The zero
// value is zero of the unit.
type (
	// Pressure is a gauge pressure, held in pascals above the surrounding air.
	Pressure float64
	// AbsPressure is an absolute pressure, held in pascals above vacuum.
	AbsPressure float64
	// Flow is a volume flow, held in cubic metres per second.
	Flow float64
	// Volume is held in cubic metres.
	Volume float64
	// Length is held in metres; it serves elevations, bores and levels too.
	Length float64
	// Area is held in square metres.
	Area float64
	// Speed is held in metres per second.
	Speed float64
	// Temperature is held in kelvins, so that zero can mean "not given".
	Temperature float64
	// TemperatureDiff is a difference of temperatures, held in kelvins.
	TemperatureDiff float64
	// Compliance is water taken up per rise of pressure, held in m³/Pa.
	Compliance float64
	// Density is held in kg/m³.
	Density float64
	// Viscosity is a dynamic viscosity, held in Pa·s.
	Viscosity float64
	// Current is held in amperes.
	Current float64
	// Charge is held in coulombs.
	Charge float64
	// Voltage is held in volts.
	Voltage float64
	// Mass is held in kilograms.
	Mass float64
)

// Any is some quantity of this package, its type known at run time.
type Any interface {
	fmt.Stringer
	encoding.TextMarshaler
	measured() (*kind, float64)
}

// Quantity is the constraint that admits the quantities of this package.
type Quantity interface {
	~float64
	Any
}

// Pressures. All exact but PSI, whose definition does not end in decimals: a
// pound-force is 0.45359237 kg × 9.80665 m/s² and an inch 0.0254 m, both exact
// (NIST SP 811:2008, appendix B.8), and the quotient is rounded once.
const (
	Pascal     Pressure = 1
	Kilopascal          = 1e3 * Pascal
	Megapascal          = 1e6 * Pascal
	Bar                 = 1e5 * Pascal
	PSI                 = 0.45359237 * 9.80665 / (0.0254 * 0.0254) * Pascal
)

// Absolute pressures. The standard atmosphere is exactly 101 325 Pa
// (10th CGPM, 1954; NIST SP 811:2008, B.8).
const (
	PascalAbs  AbsPressure = 1
	PSIA                   = 0.45359237 * 9.80665 / (0.0254 * 0.0254) * PascalAbs
	Atmosphere             = 101325 * PascalAbs
)

// Lengths, exact by the international yard and pound agreement of 1959.
const (
	Metre      Length = 1
	Millimetre        = 1e-3 * Metre
	Centimetre        = 1e-2 * Metre
	Inch              = 0.0254 * Metre
	Foot              = 12 * Inch
)

// Volumes, exact by definition. The US gallon is 231 cubic inches (NIST SP
// 811:2008, B.8); cups, ounces and spoons are its US customary parts. No
// imperial measure is known to this package.
const (
	CubicMetre Volume = 1
	Litre             = 1e-3 * CubicMetre
	Millilitre        = 1e-6 * CubicMetre
	CubicInch         = 0.0254 * 0.0254 * 0.0254 * CubicMetre
	USGallon          = 231 * 0.0254 * 0.0254 * 0.0254 * CubicMetre
	Quart             = USGallon / 4
	Pint              = USGallon / 8
	Cup               = USGallon / 16
	FluidOunce        = USGallon / 128
	Tablespoon        = USGallon / 256
	Teaspoon          = USGallon / 768
)

// Drips. How much water a drip holds depends on the lip it hangs from: 0.05 mL
// (20 to the millilitre, from memory) to 0.33 mL (US Geological Survey, Water
// Science School, older page). Counts of drips are read with Drip, the middle,
// and with DripSpread as the standard deviation, so that the 95 % interval is
// the whole range and no part of it is negative.
const (
	Drip       = (0.05 + 0.33) / 2 * Millilitre
	DripSpread = (0.33 - 0.05) / 4 * Millilitre
)

// Flows. Those by the minute are rounded once, the others exact.
const (
	CubicMetrePerSecond Flow = 1
	LitrePerSecond           = 1e-3 * CubicMetrePerSecond
	LitrePerMinute           = 1e-3 / 60.0 * CubicMetrePerSecond
	MillilitrePerMinute      = 1e-6 / 60.0 * CubicMetrePerSecond
	GPM                      = 231 * 0.0254 * 0.0254 * 0.0254 / 60 * CubicMetrePerSecond
)

// Compliances.
const (
	CubicMetrePerPa  Compliance = 1
	MillilitrePerBar            = 1e-6 / 1e5 * CubicMetrePerPa
	MillilitrePerPSI            = 1e-6 * (0.0254 * 0.0254) / (0.45359237 * 9.80665) * CubicMetrePerPa
)

// Other units, exact by definition: the pound is 0.45359237 kg, the poise
// 0.1 Pa·s (NIST SP 811:2008, B.8), an ampere hour 3600 C.
const (
	SquareMetre           Area            = 1
	SquareMillimetre                      = 1e-6 * SquareMetre
	SquareInch                            = 0.0254 * 0.0254 * SquareMetre
	MetrePerSecond        Speed           = 1
	FootPerSecond                         = 0.3048 * MetrePerSecond
	Kelvin                TemperatureDiff = 1
	FahrenheitDegree                      = 1 / 1.8 * Kelvin
	KilogramPerCubicMetre Density         = 1
	PascalSecond          Viscosity       = 1
	Centipoise                            = 1e-3 * PascalSecond
	Ampere                Current         = 1
	Coulomb               Charge          = 1
	AmpereHour                            = 3600 * Coulomb
	Volt                  Voltage         = 1
	Kilogram              Mass            = 1
	Gram                                  = 1e-3 * Kilogram
	Pound                                 = 0.45359237 * Kilogram
	Ounce                                 = Pound / 16
)

// Celsius returns the temperature of c degrees Celsius, c + 273.15 K (exact by
// the definition of the scale, BIPM SI Brochure, 9th ed., 2.3.1).
func Celsius(c float64) Temperature { return Temperature(c + 273.15) }

// Fahrenheit returns the temperature of f degrees Fahrenheit,
// (f − 32)/1.8 + 273.15 K (NIST SP 811:2008, B.8).
func Fahrenheit(f float64) Temperature { return Temperature((f-32)/1.8 + 273.15) }
