package unit

import "fmt"

// Go has no way to give one method to many types, so every quantity repeats
// these five: what it is, text for people (US habit, four digits; [System]
// chooses otherwise), every verb of fmt with its unit, and text for machines.

func (p Pressure) measured() (*kind, float64) { return &pressures, float64(p) }

// String returns p in the US unit natural to its size, to four digits.
func (p Pressure) String() string { return US.Format(p, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (p Pressure) Format(s fmt.State, verb rune) { format(s, verb, p) }

// MarshalText returns p in its SI unit, in the shortest digits that return bit for bit.
func (p Pressure) MarshalText() ([]byte, error) { return marshal(p) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (p *Pressure) UnmarshalText(text []byte) error { return unmarshal(p, text) }

func (p AbsPressure) measured() (*kind, float64) { return &absPressures, float64(p) }

// String returns p in the US unit natural to its size, to four digits.
func (p AbsPressure) String() string { return US.Format(p, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (p AbsPressure) Format(s fmt.State, verb rune) { format(s, verb, p) }

// MarshalText returns p in its SI unit, in the shortest digits that return bit for bit.
func (p AbsPressure) MarshalText() ([]byte, error) { return marshal(p) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (p *AbsPressure) UnmarshalText(text []byte) error { return unmarshal(p, text) }

func (q Flow) measured() (*kind, float64) { return &flows, float64(q) }

// String returns q in the US unit natural to its size, to four digits.
func (q Flow) String() string { return US.Format(q, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (q Flow) Format(s fmt.State, verb rune) { format(s, verb, q) }

// MarshalText returns q in its SI unit, in the shortest digits that return bit for bit.
func (q Flow) MarshalText() ([]byte, error) { return marshal(q) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (q *Flow) UnmarshalText(text []byte) error { return unmarshal(q, text) }

func (v Volume) measured() (*kind, float64) { return &volumes, float64(v) }

// String returns v in the US unit natural to its size, to four digits.
func (v Volume) String() string { return US.Format(v, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (v Volume) Format(s fmt.State, verb rune) { format(s, verb, v) }

// MarshalText returns v in its SI unit, in the shortest digits that return bit for bit.
func (v Volume) MarshalText() ([]byte, error) { return marshal(v) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (v *Volume) UnmarshalText(text []byte) error { return unmarshal(v, text) }

func (l Length) measured() (*kind, float64) { return &lengths, float64(l) }

// String returns l in the US unit natural to its size, to four digits.
func (l Length) String() string { return US.Format(l, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (l Length) Format(s fmt.State, verb rune) { format(s, verb, l) }

// MarshalText returns l in its SI unit, in the shortest digits that return bit for bit.
func (l Length) MarshalText() ([]byte, error) { return marshal(l) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (l *Length) UnmarshalText(text []byte) error { return unmarshal(l, text) }

func (a Area) measured() (*kind, float64) { return &areas, float64(a) }

// String returns a in the US unit natural to its size, to four digits.
func (a Area) String() string { return US.Format(a, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (a Area) Format(s fmt.State, verb rune) { format(s, verb, a) }

// MarshalText returns a in its SI unit, in the shortest digits that return bit for bit.
func (a Area) MarshalText() ([]byte, error) { return marshal(a) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (a *Area) UnmarshalText(text []byte) error { return unmarshal(a, text) }

func (v Speed) measured() (*kind, float64) { return &speeds, float64(v) }

// String returns v in the US unit natural to its size, to four digits.
func (v Speed) String() string { return US.Format(v, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (v Speed) Format(s fmt.State, verb rune) { format(s, verb, v) }

// MarshalText returns v in its SI unit, in the shortest digits that return bit for bit.
func (v Speed) MarshalText() ([]byte, error) { return marshal(v) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (v *Speed) UnmarshalText(text []byte) error { return unmarshal(v, text) }

func (t Temperature) measured() (*kind, float64) { return &temperatures, float64(t) }

// String returns t in the US unit natural to its size, to four digits.
func (t Temperature) String() string { return US.Format(t, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (t Temperature) Format(s fmt.State, verb rune) { format(s, verb, t) }

// MarshalText returns t in its SI unit, in the shortest digits that return bit for bit.
func (t Temperature) MarshalText() ([]byte, error) { return marshal(t) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (t *Temperature) UnmarshalText(text []byte) error { return unmarshal(t, text) }

func (d TemperatureDiff) measured() (*kind, float64) { return &temperatureDiffs, float64(d) }

// String returns d in the US unit natural to its size, to four digits.
func (d TemperatureDiff) String() string { return US.Format(d, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (d TemperatureDiff) Format(s fmt.State, verb rune) { format(s, verb, d) }

// MarshalText returns d in its SI unit, in the shortest digits that return bit for bit.
func (d TemperatureDiff) MarshalText() ([]byte, error) { return marshal(d) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (d *TemperatureDiff) UnmarshalText(text []byte) error { return unmarshal(d, text) }

func (c Compliance) measured() (*kind, float64) { return &compliances, float64(c) }

// String returns c in the US unit natural to its size, to four digits.
func (c Compliance) String() string { return US.Format(c, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (c Compliance) Format(s fmt.State, verb rune) { format(s, verb, c) }

// MarshalText returns c in its SI unit, in the shortest digits that return bit for bit.
func (c Compliance) MarshalText() ([]byte, error) { return marshal(c) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (c *Compliance) UnmarshalText(text []byte) error { return unmarshal(c, text) }

func (d Density) measured() (*kind, float64) { return &densities, float64(d) }

// String returns d in the US unit natural to its size, to four digits.
func (d Density) String() string { return US.Format(d, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (d Density) Format(s fmt.State, verb rune) { format(s, verb, d) }

// MarshalText returns d in its SI unit, in the shortest digits that return bit for bit.
func (d Density) MarshalText() ([]byte, error) { return marshal(d) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (d *Density) UnmarshalText(text []byte) error { return unmarshal(d, text) }

func (m Viscosity) measured() (*kind, float64) { return &viscosities, float64(m) }

// String returns m in the US unit natural to its size, to four digits.
func (m Viscosity) String() string { return US.Format(m, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (m Viscosity) Format(s fmt.State, verb rune) { format(s, verb, m) }

// MarshalText returns m in its SI unit, in the shortest digits that return bit for bit.
func (m Viscosity) MarshalText() ([]byte, error) { return marshal(m) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (m *Viscosity) UnmarshalText(text []byte) error { return unmarshal(m, text) }

func (i Current) measured() (*kind, float64) { return &currents, float64(i) }

// String returns i in the US unit natural to its size, to four digits.
func (i Current) String() string { return US.Format(i, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (i Current) Format(s fmt.State, verb rune) { format(s, verb, i) }

// MarshalText returns i in its SI unit, in the shortest digits that return bit for bit.
func (i Current) MarshalText() ([]byte, error) { return marshal(i) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (i *Current) UnmarshalText(text []byte) error { return unmarshal(i, text) }

func (c Charge) measured() (*kind, float64) { return &charges, float64(c) }

// String returns c in the US unit natural to its size, to four digits.
func (c Charge) String() string { return US.Format(c, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (c Charge) Format(s fmt.State, verb rune) { format(s, verb, c) }

// MarshalText returns c in its SI unit, in the shortest digits that return bit for bit.
func (c Charge) MarshalText() ([]byte, error) { return marshal(c) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (c *Charge) UnmarshalText(text []byte) error { return unmarshal(c, text) }

func (v Voltage) measured() (*kind, float64) { return &voltages, float64(v) }

// String returns v in the US unit natural to its size, to four digits.
func (v Voltage) String() string { return US.Format(v, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (v Voltage) Format(s fmt.State, verb rune) { format(s, verb, v) }

// MarshalText returns v in its SI unit, in the shortest digits that return bit for bit.
func (v Voltage) MarshalText() ([]byte, error) { return marshal(v) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (v *Voltage) UnmarshalText(text []byte) error { return unmarshal(v, text) }

func (m Mass) measured() (*kind, float64) { return &masses, float64(m) }

// String returns m in the US unit natural to its size, to four digits.
func (m Mass) String() string { return US.Format(m, shownDigits) }

// Format implements fmt.Formatter; every verb prints the unit too.
func (m Mass) Format(s fmt.State, verb rune) { format(s, verb, m) }

// MarshalText returns m in its SI unit, in the shortest digits that return bit for bit.
func (m Mass) MarshalText() ([]byte, error) { return marshal(m) }

// UnmarshalText reads whatever [Parse] reads, a written tolerance excepted.
func (m *Mass) UnmarshalText(text []byte) error { return unmarshal(m, text) }
