package unit

// PSI returns p in pounds-force per square inch, gauge.
func (p Pressure) PSI() float64 { return float64(p / PSI) }

// Bar returns p in bar, gauge.
func (p Pressure) Bar() float64 { return float64(p / Bar) }

// Kilopascals returns p in kPa, gauge.
func (p Pressure) Kilopascals() float64 { return float64(p / Kilopascal) }

// Absolute returns p above vacuum, where the surrounding air stands at air.
func (p Pressure) Absolute(air AbsPressure) AbsPressure { return air + AbsPressure(p) }

// PSIA returns p in pounds-force per square inch above vacuum.
func (p AbsPressure) PSIA() float64 { return float64(p / PSIA) }

// Gauge returns p above surrounding air that stands at air.
func (p AbsPressure) Gauge(air AbsPressure) Pressure { return Pressure(p - air) }

// GPM returns q in US gallons per minute.
func (q Flow) GPM() float64 { return float64(q / GPM) }

// LitresPerMinute returns q in L/min.
func (q Flow) LitresPerMinute() float64 { return float64(q / LitrePerMinute) }

// MillilitresPerMinute returns q in mL/min.
func (q Flow) MillilitresPerMinute() float64 { return float64(q / MillilitrePerMinute) }

// Gallons returns v in US gallons.
func (v Volume) Gallons() float64 { return float64(v / USGallon) }

// Cups returns v in US cups.
func (v Volume) Cups() float64 { return float64(v / Cup) }

// FluidOunces returns v in US fluid ounces.
func (v Volume) FluidOunces() float64 { return float64(v / FluidOunce) }

// Litres returns v in litres.
func (v Volume) Litres() float64 { return float64(v / Litre) }

// Millilitres returns v in millilitres.
func (v Volume) Millilitres() float64 { return float64(v / Millilitre) }

// Inches returns l in inches.
func (l Length) Inches() float64 { return float64(l / Inch) }

// Feet returns l in feet.
func (l Length) Feet() float64 { return float64(l / Foot) }

// Millimetres returns l in millimetres.
func (l Length) Millimetres() float64 { return float64(l / Millimetre) }

// Celsius returns t in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) - 273.15 }

// Fahrenheit returns t in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return float64((float64(t)-273.15)*1.8) + 32 }

// MillilitresPerPSI returns c in mL/psi.
func (c Compliance) MillilitresPerPSI() float64 { return float64(c / MillilitrePerPSI) }

// AmpereHours returns c in ampere hours.
func (c Charge) AmpereHours() float64 { return float64(c / AmpereHour) }
