package main

import (
	"io"

	"quietpump/examples/internal/ask"
	"quietpump/sim"
	"quietpump/sim/waves"
)

// output is the JSON object; the command's comment documents it.
type output struct {
	Tap     string       `json:"tap"`
	Over    float64      `json:"over_s"`
	Until   float64      `json:"until_s"`
	Rating  float64      `json:"rating_pa"`
	Cases   []caseOut    `json:"cases"`
	Sizes   []sizeOut    `json:"sizes"`
	Beside  sizeOut      `json:"beside_tap"`
	Assumed []ask.Untold `json:"assumed"`
}

type caseOut struct {
	Name     string             `json:"name"`
	Bottle   float64            `json:"accumulator_m3"`
	Highest  peakOut            `json:"highest"`
	Lowest   peakOut            `json:"lowest"`
	Tubes    []tubeOut          `json:"tubes"`
	Joints   []jointOut         `json:"joints"`
	Events   []sim.Event        `json:"events"`
	Cavities []cavityOut        `json:"cavities"`
	Back     map[string]float64 `json:"backflow_m3s"`
	Warnings []sim.Warning      `json:"warnings"`
	Grid     gridOut            `json:"grid"`
}

type peakOut struct {
	Pressure float64 `json:"pressure_pa"`
	Tube     string  `json:"tube"`
	Joint    string  `json:"joint"`
	X        float64 `json:"x_m"`
	At       float64 `json:"at_s"`
}

type tubeOut struct {
	Tube       string    `json:"tube"`
	Speed      float64   `json:"speed_m_s"`
	SpeedLeast float64   `json:"speed_least_m_s"`
	SpeedMost  float64   `json:"speed_most_m_s"`
	Rounding   float64   `json:"rounding"`
	X          []float64 `json:"x_m"`
	Start      []float64 `json:"start_pa"`
	Highest    []float64 `json:"highest_pa"`
	Lowest     []float64 `json:"lowest_pa"`
}

type jointOut struct {
	Joint   string  `json:"joint"`
	Start   float64 `json:"start_pa"`
	Highest float64 `json:"highest_pa"`
	Lowest  float64 `json:"lowest_pa"`
}

type cavityOut struct {
	Tube   string  `json:"tube"`
	Joint  string  `json:"joint"`
	At     float64 `json:"at_m"`
	Volume float64 `json:"volume_m3"`
	Share  float64 `json:"share"`
	From   float64 `json:"from_s"`
	To     float64 `json:"to_s"`
}

type gridOut struct {
	Step     float64 `json:"step_s"`
	Reaches  int     `json:"reaches"`
	Steps    int     `json:"steps"`
	Rounding float64 `json:"rounding"`
	Tube     string  `json:"tube"`
}

type sizeOut struct {
	Bottle  float64 `json:"accumulator_m3"`
	Highest float64 `json:"highest_pa"`
}

// plain is a list of quantities in SI units.
func plain[Q ~float64](list []Q) []float64 {
	out := make([]float64, len(list))
	for i, q := range list {
		out[i] = float64(q)
	}
	return out
}

func (j *job) writeJSON(w io.Writer) error {
	out := output{Tap: j.tap, Over: j.over.Seconds(), Until: j.until.Seconds(), Rating: float64(j.rating), Assumed: ask.UntoldOf(j.rig)}
	for i := range j.cases {
		out.Cases = append(out.Cases, j.cases[i].out())
	}
	for _, s := range j.sizes {
		out.Sizes = append(out.Sizes, sizeOut{float64(s.bottle), float64(s.top)})
	}
	out.Beside = sizeOut{float64(j.beside.bottle), float64(j.beside.top)}
	return ask.WriteJSON(w, out)
}

func (s *seen) out() caseOut {
	peak := func(p waves.Peak) peakOut {
		return peakOut{float64(p.Pressure), p.Tube, p.Joint, float64(p.X), p.At}
	}
	r := s.res
	c := caseOut{Name: s.name, Bottle: float64(s.bottle), Highest: peak(r.Highest), Lowest: peak(r.Lowest),
		Events: append([]sim.Event{}, r.Events...), Cavities: []cavityOut{}, Back: map[string]float64{}, Warnings: append([]sim.Warning{}, r.Warnings...),
		Grid: gridOut{r.Grid.Step, r.Grid.Reaches, r.Grid.Steps, r.Grid.Rounding, r.Grid.Tube}}
	for _, t := range r.Tubes {
		c.Tubes = append(c.Tubes, tubeOut{Tube: t.Name, Speed: float64(t.Speed), SpeedLeast: float64(t.Speeds[0]), SpeedMost: float64(t.Speeds[1]),
			Rounding: t.Rounding, X: plain(t.X), Start: plain(t.Start), Highest: plain(t.Highest), Lowest: plain(t.Lowest)})
	}
	for _, x := range r.Joints {
		c.Joints = append(c.Joints, jointOut{x.Name, float64(x.Start), float64(x.Highest), float64(x.Lowest)})
	}
	for _, v := range r.Cavities {
		c.Cavities = append(c.Cavities, cavityOut{v.Tube, v.Joint, float64(v.At), float64(v.Volume), v.Share, v.From, v.To})
	}
	for name, q := range s.back {
		c.Back[name] = float64(q)
	}
	return c
}
