package rigfile

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// Writing and reading is the identity for rigs of all kinds of part, with any
// of the keys told, to the last bit.
func TestReadWriteReadIsTheIdentity(t *testing.T) {
	kindsMet := map[string]bool{}
	rapid.Check(t, func(t *rapid.T) {
		rig := randomRig(t)
		for _, p := range rig.Parts() {
			kindsMet[p.Kind()] = true
		}
		for _, marshal := range []func(*network.Rig) []byte{Marshal, MarshalJSON} {
			text := marshal(rig)
			again, err := Parse("again", text)
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			sameRig(t, rig, again)
			require.Equal(t, string(text), string(marshal(again)))
		}
	})
	if !testing.Short() { // a short run draws too few rigs to meet every kind
		require.Len(t, kindsMet, len(kinds)-1, "kinds of part that never came up")
	}
}

// randomRig draws a rig: a tank, a pump and a line of joints that parts of any
// kind hang on.
func randomRig(t *rapid.T) *network.Rig {
	g := &rigGen{t: t, joints: []string{"tank out", "pump out"}}
	pump := network.Pump{Name: g.name("pump"), From: "tank out", To: "pump out"}
	g.fill(&pump, "Curve", "CutIn", "CutOut", "Sense", "Hold", "Bypass")
	g.pump(&pump)
	tank := network.Tank{Name: g.name("tank"), Ports: []string{"tank out", "tank top"}}
	g.fill(&tank)
	g.items = append(g.items, tank, pump, network.WasteTank{Name: "waste"},
		network.ReliefValve{Name: "relief", At: "pump out"}, network.Shutoff{Name: "fill", From: "pump out", To: "tank top"})
	for range rapid.IntRange(0, 12).Draw(t, "parts") {
		g.part(rapid.SampledFrom(kinds).Draw(t, "kind"))
	}
	rig, err := network.New(g.name("rig"), g.items...)
	if err != nil {
		t.Fatalf("the generator made no rig: %v", err)
	}
	return rig
}

type rigGen struct {
	t      *rapid.T
	n      int
	joints []string // of cold water, all fed by the pump
	items  []network.Item
}

// name draws a name that is new and awkward to quote.
func (g *rigGen) name(stem string) string {
	g.n++
	odd := rapid.SampledFrom([]string{"", ` "x"`, " 'y'", ` \z`, " é ±", " #1", " a=b"}).Draw(g.t, "odd")
	return fmt.Sprintf("%s %d%s", stem, g.n, odd)
}

// beyond returns a joint of the line and a new one that a stub of a joint makes
// stand for itself.
func (g *rigGen) beyond() (from, to string) {
	from = rapid.SampledFrom(g.joints[1:]).Draw(g.t, "from")
	to = g.name("joint")
	j := network.Joint{Name: to, Untold: rapid.Bool().Draw(g.t, "elevation untold")}
	if !j.Untold {
		j.Z = unit.Length(rapid.Float64Range(-2, 2).Draw(g.t, "z"))
	}
	if rapid.Bool().Draw(g.t, "place") {
		j.Place = "belly pan"
	}
	if rapid.Bool().Draw(g.t, "along") {
		j.Along = unit.Length(rapid.Float64Range(0.01, 12).Draw(g.t, "metres"))
	}
	g.items = append(g.items, j)
	return from, to
}

func (g *rigGen) part(k *kind) {
	if k.word == "joint" {
		return
	}
	v := reflect.New(reflect.TypeOf(k.of)).Elem()
	name := g.name(k.title())
	v.FieldByName("Name").SetString(name)
	set := func(field, joint string) { v.FieldByName(field).SetString(joint) }
	switch p := v.Addr().Interface().(type) {
	case *network.Tank:
		_, port := g.beyond()
		p.Ports = []string{port}
	case *network.Selector:
		a, b := g.beyond()
		p.Ports = []string{a, b}
		p.Positions = []network.Position{{Name: "normal", Joins: [][2]string{{a, b}}}, {Name: "none"}}
	case *network.Mixer:
		p.Hot, p.Spout = g.beyond()
		_, p.Cold = g.beyond()
		g.items = append(g.items, network.Tube{Name: name + " leg", From: p.Hot, To: p.Cold})
	case *network.Pump:
		p.From, p.To = g.beyond()
	case *network.Heater:
		p.At = "pump out" // where the relief valve is
	default:
		if v.FieldByName("At").IsValid() && v.FieldByName("At").Kind() == reflect.String {
			set("At", rapid.SampledFrom(g.joints[1:]).Draw(g.t, "at"))
			break
		}
		if v.FieldByName("From").IsValid() {
			from, to := g.beyond()
			set("From", from)
			set("To", to)
			if k.word != "regulator" {
				g.joints = append(g.joints, to)
			}
		}
	}
	g.fill(v.Addr().Interface(), "Curve", "CutIn", "CutOut", "Sense", "Hold", "Bypass", "Precharge", "Positions", "Size", "Material", "Into")
	switch p := v.Addr().Interface().(type) {
	case *network.Pump:
		g.pump(p)
	case *network.Regulator:
		p.Droop = 5 * unit.PSI
	case *network.Tube:
		p.Size = rapid.SampledFrom([]string{"", "1/2 in", "3/8 in"}).Draw(g.t, "size")
		p.Material = rapid.SampledFrom([]string{"", "pex", "copper", "hose"}).Draw(g.t, "material")
	case *network.Fixture:
		p.Into = rapid.SampledFrom([]string{"", "waste"}).Draw(g.t, "into")
	case *network.Elastic:
		p.Compliance = 8e-12
	case *network.Accumulator:
		if rapid.Bool().Draw(g.t, "charged") {
			p.Precharge = 15 * unit.PSI
		}
	}
	g.items = append(g.items, v.Interface().(network.Item))
}

// pump draws what must fit together in a pump.
func (g *rigGen) pump(p *network.Pump) {
	if rapid.Bool().Draw(g.t, "told curve") {
		p.Curve = hydraulics.PumpCurve{{Rise: 0, Flow: 3 * unit.GPM, Current: 4}, {Rise: unit.Pressure(rapid.Float64Range(4e5, 9e5).Draw(g.t, "rise")), Flow: 0, Current: 9}}
	}
	if rapid.Bool().Draw(g.t, "hold") {
		p.Hold = &network.HeldPressure{Set: 50 * unit.PSI, LeastSpeed: 0.25, RunOn: time.Duration(rapid.Int64Range(1, 1e10).Draw(g.t, "run on"))}
	} else if rapid.Bool().Draw(g.t, "switch") {
		p.CutIn = unit.Pressure(rapid.Float64Range(1.5e5, 2.5e5).Draw(g.t, "in"))
		p.CutOut = unit.Pressure(rapid.Float64Range(3e5, 4e5).Draw(g.t, "out"))
		if rapid.Bool().Draw(g.t, "±") {
			g.items = append(g.items, network.Tolerance{Part: p.Name, Field: "cut_in", SD: rapid.Float64Range(1, 1e5).Draw(g.t, "sd")})
		}
	}
	if rapid.Bool().Draw(g.t, "bypass") {
		p.Bypass = network.Bypass{Opens: 40 * unit.PSI, Outside: rapid.Bool().Draw(g.t, "outside")}
	}
	if rapid.Bool().Draw(g.t, "sense") {
		p.Sense = "pump out"
	}
}

// fill tells some of the fields that stand alone, and how sure some are.
func (g *rigGen) fill(part any, but ...string) {
	v := reflect.ValueOf(part).Elem()
	name := v.FieldByName("Name").String()
	for i := range v.NumField() {
		f, field := v.Field(i), v.Type().Field(i)
		if strings.Contains(" "+strings.Join(but, " ")+" ", " "+field.Name+" ") || !f.IsZero() || !rapid.Bool().Draw(g.t, "told") {
			continue
		}
		switch {
		case f.Kind() == reflect.Bool:
			f.SetBool(true)
		case f.Type() == reflect.TypeFor[time.Duration]():
			f.SetInt(rapid.Int64Range(1, 1e12).Draw(g.t, "ns"))
			if rapid.Bool().Draw(g.t, "±") {
				sd := time.Duration(rapid.Int64Range(1, 1e10).Draw(g.t, "sd"))
				g.items = append(g.items, network.Tolerance{Part: name, Field: keyOf(part, field.Name), SD: sd.Seconds()})
			}
		case f.Kind() == reflect.Float64:
			least, most := 1e-9, 0.9
			switch {
			case field.Name == "Bore":
				least = 1e-5
			case field.Name == "Voltage":
				least = 0.1
			case f.Type() == reflect.TypeFor[unit.Compliance]():
				least, most = 1e-15, 1e-3
			}
			f.SetFloat(rapid.OneOf(rapid.Float64Range(least, most), rapid.Map(rapid.SampledFrom([]float64{0.5, 0.0254, 12 * 0.0254, 1e-3}), func(x float64) float64 { return max(least, min(x, most)) })).Draw(g.t, "value"))
			if strings.HasSuffix(f.Type().PkgPath(), "hydraulics/unit") && rapid.Bool().Draw(g.t, "±") {
				g.items = append(g.items, network.Tolerance{Part: name, Field: keyOf(part, field.Name), SD: rapid.Float64Range(1e-12, 0.1).Draw(g.t, "sd")})
			}
		case f.Kind() == reflect.String && field.Name != "Name" && field.Name != "From" && field.Name != "To" && field.Name != "At":
			f.SetString(g.name("place"))
		}
	}
}

// keyOf is the key of a part's field in rig files.
func keyOf(part any, field string) string {
	p := reflect.ValueOf(part).Elem().Interface().(network.Part)
	for _, k := range byWord[strings.ReplaceAll(p.Kind(), " ", "_")].record().Keys {
		if strings.EqualFold(strings.ReplaceAll(k.Path, "_", ""), field) {
			return k.Path
		}
	}
	panic(field + " is no key")
}
