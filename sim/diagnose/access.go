package diagnose

import (
	"math"

	"quietpump/network"
)

// minutesOf is what an effort costs.
func minutesOf(e Effort) float64 {
	switch e {
	case ByHand:
		return 1
	case Door:
		return 3
	case Screws:
		return 8
	case TakeOut:
		return 20
	case Crawl:
		return 40
	}
	return math.Inf(1)
}

func minutesWrong(w Wrong) float64 {
	switch w {
	case CheapTry:
		return 30
	case CallOut:
		return 480
	}
	return 120
}

// access is what it takes to reach a part, joint or place, judged by its kind
// where nobody said: common practice, no source.
func (c *Case) access(name string) Access {
	a := c.Access[name]
	p, isPart := c.Rig.Part(name)
	if a.Effort == "" {
		a.Effort = Door
		if isPart {
			switch p.(type) {
			case network.Fixture, network.Mixer, network.Hookup, network.Appliance, network.VacuumBreaker, network.Selector, network.Drain:
				a.Effort = ByHand
			case network.ReliefValve, network.Shutoff:
				a.Effort = Door
			default:
				a.Effort = Screws
			}
		} else if name == string(network.ToBellyPan) {
			a.Effort = TakeOut
		}
	}
	if a.Cover == "" {
		a.Cover = name
	}
	if a.Wrong == "" {
		a.Wrong = Nuisance
		if isPart {
			switch p.Kind() {
			case "check", "drain", "fixture", "vacuum breaker", "filter":
				a.Wrong = CheapTry
			case "selector", "relief valve", "heater":
				a.Wrong = CallOut
			}
		} else {
			a.Wrong = CheapTry
		}
	}
	return a
}

// reach is the minutes to open a cover.
func (a Access) reach() float64 {
	if a.Minutes > 0 && a.Effort != Cant {
		return a.Minutes.Minutes()
	}
	return minutesOf(a.Effort)
}

func (a Access) work() float64 {
	if a.Work > 0 {
		return a.Work.Minutes()
	}
	return minutesWrong(a.Wrong)
}
