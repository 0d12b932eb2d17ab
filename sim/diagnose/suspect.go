package diagnose

import (
	"errors"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// A Suspect is a part that could be seeping, with its seep sized so that the rest
// is met, and what then follows.
type Suspect struct {
	network.Suspect                       // its Seep is the fitted one
	Ends            []network.Destination // where its water ends, by its escape paths
	Rest, Run       time.Duration         // as predicted
	// Unfit says why no size of its seep meets the readings; empty where one does.
	Unfit string
}

// fitted sizes a suspect's seep, beginning at start.
func (f fitter) fitted(s network.Suspect, at unit.Pressure, start unit.Flow) (Suspect, error) {
	out := Suspect{Suspect: s}
	out.Seep.Seep = hydraulics.Seep{At: at, Exp: filmExponent}
	size, c, err := f.fit(out.Seep, start)
	switch {
	case errors.Is(err, errNoStart):
		out.Unfit = "too little of the stored water could get out there"
		return out, nil
	case errors.Is(err, errNoStop):
		out.Unfit = "the pump would never stop"
		return out, nil
	case errors.Is(err, sim.ErrTooLong):
		out.Unfit = "this one could not be simulated"
		return out, nil
	case err != nil:
		return out, err
	}
	out.Seep.Ref = size
	out.Rest = time.Duration(c.rest * float64(time.Second))
	out.Run = time.Duration(c.run * float64(time.Second))
	return out, nil
}

// filmExponent is that of a film between closed faces, the middle of what seeps have.
const filmExponent = 1
