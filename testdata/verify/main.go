// Verify prints what the library answers in the cases of cases.toml, as JSON, for
// verify.py to be compared with:
//
//	go run ./testdata/verify testdata/verify/cases.toml
//
// For each case it has the values that stand in for what the rig's file leaves
// open (told by part and field, in SI units), and either the steady answer or the
// pump's starts and stops. A rig that is read the wrong way or solved the wrong
// way shows there; what is typical of a vehicle is not in question.
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/pelletier/go-toml/v2"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: verify cases.toml")
		os.Exit(2)
	}
	if err := run(os.Args[1], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// kase is one question; its file says what the fields mean.
type kase struct {
	Name    string   `toml:"name"`
	Rig     string   `toml:"rig"`
	Lineup  string   `toml:"lineup"`
	Faults  []string `toml:"faults"`
	Running []string `toml:"running"`
	Minutes float64  `toml:"minutes"`
}

type answer struct {
	Name    string    `json:"name"`
	Assumed []assumed `json:"assumed"`
	// Steady answers.
	Pressures map[string]*float64 `json:"pressure_pa,omitempty"` // null where nothing decides it
	CutOff    []string            `json:"cut_off,omitempty"`
	Flows     map[string]float64  `json:"flow_m3s,omitempty"`
	// Simulations.
	Events []sim.Event        `json:"events,omitempty"`
	Tanks  map[string]float64 `json:"tank_m3,omitempty"` // at the end
}

type assumed struct {
	Part  string `json:"part"`
	Field string `json:"field"`
	Value any    `json:"value"` // a number in SI units, a text, or a pump curve as [[Pa, m3/s], …]
}

func run(file string, w io.Writer) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	var list struct {
		Case []kase `toml:"case"`
	}
	if err := toml.Unmarshal(text, &list); err != nil {
		return err
	}
	var answers []answer
	for _, c := range list.Case {
		a, err := c.answer(filepath.Dir(file))
		if err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
		answers = append(answers, a)
	}
	out := json.NewEncoder(w)
	out.SetIndent("", " ")
	return out.Encode(answers)
}

func (c kase) answer(dir string) (answer, error) {
	a := answer{Name: c.Name}
	rig, err := rigfile.Read(filepath.Join(dir, c.Rig))
	if err != nil {
		return a, err
	}
	lineup, err := rig.Lineup(c.Lineup)
	if err != nil {
		return a, err
	}
	var faults network.Faults
	for _, text := range c.Faults {
		f, err := rig.Fault(text)
		if err != nil {
			return a, err
		}
		faults = append(faults, f)
	}
	model, err := sim.Compile(rig)
	if err != nil {
		return a, err
	}
	if a.Assumed, err = standIns(rig); err != nil {
		return a, err
	}
	if c.Minutes > 0 {
		return a, c.simulate(model, lineup, faults, &a)
	}
	return a, c.steady(model, lineup, faults, &a)
}

func (c kase) simulate(model *sim.Model, lineup network.Lineup, faults network.Faults, a *answer) error {
	until := time.Duration(c.Minutes * float64(time.Minute))
	rec, err := model.Simulate(context.Background(), lineup, faults, sim.Options{Until: until})
	if err != nil {
		return err
	}
	a.Events = rec.Events
	end, err := rec.At(until)
	if err != nil {
		return err
	}
	a.Tanks = make(map[string]float64)
	for _, p := range model.Rig().Parts() {
		if v, ok := end.Water(p.ID()); ok && p.Kind() == "tank" {
			a.Tanks[p.ID()] = float64(v)
		}
	}
	return nil
}

func (c kase) steady(model *sim.Model, lineup network.Lineup, faults network.Faults, a *answer) error {
	opts := sim.Options{Start: sim.Start{Pumps: make(map[string]bool)}}
	for _, pump := range c.Running {
		opts.Start.Pumps[pump] = true
	}
	still, err := model.Steady(lineup, faults, opts)
	if err != nil {
		return err
	}
	a.CutOff = still.CutOff
	a.Pressures, a.Flows = make(map[string]*float64), make(map[string]float64)
	still.Pressures(func(joint string, p unit.Pressure, ok bool) {
		a.Pressures[joint] = nil
		if ok {
			pa := float64(p)
			a.Pressures[joint] = &pa
		}
	})
	for _, p := range model.Rig().Parts() {
		if q, ok := still.Flow(p.ID()); ok {
			a.Flows[p.ID()] = float64(q)
		}
	}
	return nil
}

// standIns lists what was not told, as the library computes with it.
func standIns(rig *network.Rig) ([]assumed, error) {
	var list []assumed
	for _, u := range rig.Assumed() {
		s := assumed{Part: u.Part, Field: u.Field, Value: u.Value}
		var item network.Item
		if p, ok := rig.Part(u.Part); ok {
			item = p
		} else if j, ok := rig.Joint(u.Part); ok {
			item = j
		} else {
			return nil, fmt.Errorf("%q is assumed of, and is no part or joint", u.Part)
		}
		if pump, ok := item.(network.Pump); ok && u.Field == "curve" {
			var points [][2]float64
			for _, p := range pump.Curve {
				points = append(points, [2]float64{float64(p.Rise), float64(p.Flow)})
			}
			s.Value = points
		} else if x, ok := network.Number(item, u.Field); ok {
			s.Value = x
		}
		list = append(list, s)
	}
	return list, nil
}
