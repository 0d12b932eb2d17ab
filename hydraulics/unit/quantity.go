package unit

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

// Pressures. NIST SP 811:2008, appendix B.8; a pound-force is exactly
// 0.45359237 kg × 9.80665 m/s², an inch exactly 0.0254 m.
const (
	Pascal     Pressure = 1
	Kilopascal          = 1e3 * Pascal
	Megapascal          = 1e6 * Pascal
	Bar                 = 1e5 * Pascal
	PSI                 = 0.45359237 * 9.80665 / (0.0254 * 0.0254) * Pascal
)

// Lengths, exact by the international yard and pound agreement of 1959.
const (
	Metre      Length = 1
	Millimetre        = 1e-3 * Metre
	Centimetre        = 1e-2 * Metre
	Inch              = 0.0254 * Metre
	Foot              = 12 * Inch
)

// Volumes. The US gallon is exactly 231 cubic inches (NIST SP 811:2008, B.8).
const (
	CubicMetre Volume = 1
	Litre             = 1e-3 * CubicMetre
	Millilitre        = 1e-6 * CubicMetre
	USGallon          = 231 * 0.0254 * 0.0254 * 0.0254 * CubicMetre
	Quart             = USGallon / 4
	Pint              = USGallon / 8
	Cup               = USGallon / 16
	FluidOunce        = USGallon / 128
	Tablespoon        = USGallon / 256
	Teaspoon          = USGallon / 768
)

// Flows.
const (
	CubicMetrePerSecond Flow = 1
	LitrePerSecond           = 1e-3 * CubicMetrePerSecond
	LitrePerMinute           = 1e-3 / 60.0 * CubicMetrePerSecond
	MillilitrePerMinute      = 1e-6 / 60.0 * CubicMetrePerSecond
	GPM                      = 231 * 0.0254 * 0.0254 * 0.0254 / 60 * CubicMetrePerSecond
)

// Other units.
const (
	SquareMetre       Area            = 1
	MetrePerSecond    Speed           = 1
	Kelvin            TemperatureDiff = 1
	CubicMetrePerPa   Compliance      = 1
	KilogramPerCubicM Density         = 1
	PascalSecond      Viscosity       = 1
	Ampere            Current         = 1
	Coulomb           Charge          = 1
	AmpereHour                        = 3600 * Coulomb
	Volt              Voltage         = 1
	Kilogram          Mass            = 1
)

// Celsius returns the temperature of c degrees Celsius.
func Celsius(c float64) Temperature { return Temperature(c + 273.15) }

// Fahrenheit returns the temperature of f degrees Fahrenheit.
func Fahrenheit(f float64) Temperature { return Temperature((f-32)/1.8 + 273.15) }
