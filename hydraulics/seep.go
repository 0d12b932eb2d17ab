package hydraulics

import (
	"fmt"
	"math"
	"strings"

	"quietpump/hydraulics/unit"
)

// A Seep is a small flow through a part that should be tight:
//
//	q = Ref·(Δp/At)ⁿ, odd in Δp
//
// n is 0.5 for an orifice, 1 for a laminar film between closed faces, up to 1.5
// for a crack that opens as pressure rises. Measured: about 0.5 for round holes,
// 0.79 to 1.85 for cracks along a pipe, 0.41 to 0.52 around it. Source:
// Greyvenstein and van Zyl, J. Water Supply 56(2) (2007) 117; van Zyl and Clayton,
// Proc. ICE Water Management 160(2) (2007) 109; the 1.5 of Lambert 2001 is from memory.
//
// The zero Seep is a tight part.
type Seep struct {
	Ref unit.Flow     // flow at At, ≥ 0
	At  unit.Pressure // where Ref was measured; zero means 45 psi
	Exp float64       // n, 0.5 to 1.5; zero means 0.5, an orifice
}

const (
	usualAt    = 45 * unit.PSI // a pump's usual cut-out: common practice, no source
	orificeExp = 0.5
)

// Tight reports whether nothing passes.
func (s Seep) Tight() bool { return s.Ref == 0 }

// Flow returns the flow at a pressure drop dp, with the sign of dp.
func (s Seep) Flow(dp unit.Pressure) unit.Flow {
	at, n := s.law()
	q := float64(s.Ref) * math.Pow(math.Abs(float64(dp/at)), n)
	return unit.Flow(math.Copysign(q, float64(dp)))
}

// Drop returns the pressure drop at a flow q, with the sign of q: the inverse of
// Flow. A tight part holds any pressure: its Drop is infinite unless q is zero.
func (s Seep) Drop(q unit.Flow) unit.Pressure {
	if q == 0 {
		return unit.Pressure(q)
	}
	at, n := s.law()
	dp := float64(at) * math.Pow(math.Abs(float64(q/s.Ref)), 1/n)
	return unit.Pressure(math.Copysign(dp, float64(q)))
}

// law returns At and Exp with the zero values filled in.
func (s Seep) law() (at unit.Pressure, n float64) {
	at, n = s.At, s.Exp
	if at == 0 {
		at = usualAt
	}
	if n == 0 {
		n = orificeExp
	}
	return at, n
}

// ParseSeep reads a seep as people state one: "2 mL/min at 45 psi", and after a
// comma the kind of gap: "55 mL/min at 45 psi, film". Kinds are orifice (n 0.5,
// which no kind means too), film (1) and crack (1.5). "tight" is the zero Seep.
// Flow and pressure are read by [unit.Parse]; a tolerance stated with them is let go.
// The error quotes what could not be read and says what is wanted.
func ParseSeep(text string) (Seep, error) {
	if strings.TrimSpace(text) == "tight" {
		return Seep{}, nil
	}
	flow, at, ok := strings.Cut(text, " at ")
	at, kind, hasKind := strings.Cut(at, ",")
	if !ok {
		return Seep{}, fmt.Errorf("seep %q: no pressure (want a flow at a pressure: %q)", text, "2 mL/min at 45 psi")
	}
	q, err := unit.Parse[unit.Flow](strings.TrimSpace(flow))
	if err != nil {
		return Seep{}, fmt.Errorf("seep %q: %w", text, err)
	}
	p, err := unit.Parse[unit.Pressure](strings.TrimSpace(at))
	if err != nil {
		return Seep{}, fmt.Errorf("seep %q: %w", text, err)
	}
	if q.Value < 0 || p.Value <= 0 {
		return Seep{}, fmt.Errorf("seep %q: a flow below zero or a pressure not above it (want a flow at a pressure: %q)", text, "2 mL/min at 45 psi")
	}
	s := Seep{Ref: q.Value, At: p.Value}
	if hasKind {
		n, ok := map[string]float64{"orifice": orificeExp, "film": 1, "crack": 1.5}[strings.TrimSpace(kind)]
		if !ok {
			return Seep{}, fmt.Errorf("seep %q: unknown kind %q (want orifice, film or crack)", text, strings.TrimSpace(kind))
		}
		s.Exp = n
	}
	return s, nil
}
