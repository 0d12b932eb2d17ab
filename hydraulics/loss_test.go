package hydraulics

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
)

func TestLossesAgainstTable(t *testing.T) {
	kinds := map[string]string{
		"gate valve, full bore":                                        "gate valve",
		"globe valve, conventional":                                    "globe valve",
		"angle valve, style 1":                                         "angle valve",
		"ball valve, full bore":                                        "full-bore ball valve",
		"swing check valve, conventional":                              "swing check valve",
		"swing check valve, clearway":                                  "clearway swing check valve",
		"lift check valve, globe type":                                 "globe lift check valve",
		"lift check valve, angled":                                     "angled lift check valve",
		"90 deg standard threaded elbow":                               "threaded elbow",
		"45 deg standard threaded elbow":                               "threaded 45 degree elbow",
		"standard tee, flow through run":                               "threaded tee, run",
		"standard tee, flow through branch":                            "threaded tee, branch",
		"90 deg long-radius bend r/d = 1":                              "long-radius bend",
		"close return bend":                                            "close return bend",
		"exit into a reservoir":                                        "exit into a tank",
		"sharp-edged entrance, flush":                                  "sharp entrance",
		"kitchen/bath faucet (test value on the 3/4 in line velocity)": "faucet",
		"crimp elbow brass":                                            "brass crimp elbow",
		"crimp coupling brass":                                         "brass crimp coupling",
		"crimp tee run brass":                                          "brass crimp tee, run",
		"crimp tee branch brass":                                       "brass crimp tee, branch",
		"crimp elbow polymer":                                          "polymer crimp elbow",
	}
	fitting := func(r row) string {
		item := r.cell["item"]
		if kind, ok := kinds[item]; ok {
			return kind
		}
		return strings.NewReplacer(
			"crimp fitting, brass (ASTM F1807 type), ", "brass crimp ",
			"crimp fitting, polymer (ASTM F2159 type), ", "polymer crimp ",
			"press fitting, bronze, ", "bronze press ",
			"press fitting, polymer, ", "polymer press ",
			"plastic pipe fitting, ", "plastic pipe ",
			"90 deg elbow", "elbow", "45 deg elbow", "45 degree elbow",
		).Replace(item)
	}
	// One-off rows of valves rated by Kv, by item and quantity.
	globe := Kv(500).K(0.154)
	known := map[string]float64{
		"Kv definition Kv":                               3600 * math.Sqrt(float64(unit.Bar)/Kv(1).Quadratic(999.297)),
		"Cv definition Cv":                               math.Sqrt(float64(unit.PSI)/KvFromCv(1).Quadratic(999.297)) / float64(unit.GPM),
		"Kv/Cv ratio":                                    float64(KvFromCv(1)),
		"K from Kv constant":                             float64(Kv(1).K(1)),
		"Y-globe valve 150 mm, Kv 500 K":                 float64(globe),
		"Y-globe valve 150 mm, Kv 500 L/D":               float64(globe) / 0.015,
		"Y-globe valve 150 mm, Kv 500 equivalent_length": float64(globe.Length(0.154, 0.015)),
		"angle valve 100 mm class 600 K":                 150 * 0.0165,
		"angle valve 100 mm class 600 Kv":                float64(LossK(2.475).Kv(0.0972)),
		// Q = 360 m³/h at 460 kPa: the K that loses it, as a Kv.
		"control valve, globe, flow-to-open Kv": 360.0 / 3600 * math.Sqrt(Kv(1).Quadratic(965.4)/460e3),
	}
	// f is the smooth friction factor at 8 ft/s in water of 60 °F.
	f := func(bore unit.Length) float64 {
		w := WaterAt(unit.Fahrenheit(60))
		return Friction(8*0.3048*float64(bore)*float64(w.Density)/float64(w.Viscosity), 0)
	}
	rows, c := published(t, "minor_losses.csv")
	for _, r := range rows {
		item, quantity, size := r.cell["item"], r.cell["quantity"], r.cell["size_in"]
		if got, ok := known[item+" "+quantity]; ok {
			c.near(r, item+" "+quantity, r.num(t, "value"), got, halfDigit(r.cell["value"]))
			c.checked++
			continue
		}
		switch {
		case quantity == "K/fT":
			x, err := LookupFitting(fitting(r), size)
			require.NoError(t, err, r.place)
			c.near(r, item+" "+quantity, r.num(t, "value"), x.Multiple, 0)
			c.checked++
		case quantity == "fT":
			var bore float64
			_, err := fmt.Sscanf(r.cell["conditions"], "schedule 40 bore %f m", &bore)
			require.NoError(t, err, r.place)
			got := float64(Fitting{Multiple: 1}.K(unit.Length(bore), 0))
			handbook := map[string]float64{"1/2": 0.026, "3/4": 0.024, "1": 0.022, "2": 0.019}[size]
			c.near(r, "fT of "+size+" in, as the handbook prints it", handbook, got, 0.0005)
			c.close(r, "fT of "+size+" in, another fit to the same table", r.num(t, "value"), got, 0.015)
			c.checked++
		case quantity == "equivalent_length":
			x, err := LookupFitting(fitting(r), size)
			require.NoError(t, err, r.place)
			c.near(r, item+" "+size+" in, equivalent length, ft", r.num(t, "value"), float64(x.Length/unit.Foot), 1e-12)
			c.checked++
		case strings.HasPrefix(item, "crimp "): // K from an equivalent length
			x, err := LookupFitting(fitting(r), size)
			require.NoError(t, err, r.place)
			tube, err := LookupTube("pex", size)
			require.NoError(t, err, r.place)
			// Viscosity to five digits.
			c.close(r, item+" "+size+" in, K", r.num(t, "value"), float64(x.K(tube.Bore, f(tube.Bore))), 1e-4)
			c.checked++
		case item == "K from Kv, check":
			var bore, kv float64
			_, err := fmt.Sscanf(r.cell["conditions"], "D = %f m, Kv = %f", &bore, &kv)
			require.NoError(t, err, r.place)
			c.close(r, r.cell["conditions"]+": K", r.num(t, "value"), float64(Kv(kv).K(unit.Length(bore))), 5e-8)
			c.checked++
		case item == "Cv/Kv" && r.cell["status"] == "published":
			// 1.1561, which the standard rounds to 1.156.
			c.near(r, item, r.num(t, "value"), 1/float64(KvFromCv(1)), 0.0002)
			c.checked++
		case item == "Cv/Kv":
			// The value is √(bar/psi)/(gpm in m³/h), which is not this ratio; its source
			// cell has the ratio as another library prints it.
			assert.InDelta(t, r.num(t, "value"), math.Sqrt(float64(unit.Bar/unit.PSI))/(float64(unit.GPM)*3600), halfDigit(r.cell["value"]))
			assert.Contains(t, r.cell["source"], "1.1560992283536566")
			c.close(r, "Cv/Kv as another library prints it", 1.1560992283536566, Kv(1).Cv(), 1e-14)
			c.checked++
		case strings.HasPrefix(item, "reservoir to 1.5 in pipe"):
			// What is left of 85.1 ft once tube and outflow have had theirs.
			v := 0.566 / (math.Pi / 4 * math.Pow(1.5/12, 2))
			k := 85.1*2*32.2/(v*v) - 1 - float64(LengthK(10*unit.Foot, 1.5*unit.Inch, 0.013))
			c.near(r, item+" "+quantity, r.num(t, "value"), k, 0.05)
			c.checked++
		case quantity == "K" && kinds[item] != "" && r.num(t, "value") != 0.57 && r.num(t, "value") != 1.06:
			x, err := LookupFitting(fitting(r), size)
			require.NoError(t, err, r.place)
			c.near(r, item+" K", r.num(t, "value"), float64(x.K(0.012, 0.02)), 0)
			c.checked++
		case item == "control valve, ball, segmented":
			c.skip("choked flow: no law here")
		case item == "sudden enlargement":
			c.skip("a formula and no number")
		default:
			c.skip("a second value in print for a fitting whose multiple of fT, or other value, is in the table")
		}
	}
	c.done(rows, 110)
}

func TestLossesTurnRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := LossK(rapid.Float64Range(0.01, 1000).Draw(t, "K"))
		bore := unit.Length(rapid.Float64Range(0.002, 0.1).Draw(t, "bore"))
		f := rapid.Float64Range(0.01, 0.1).Draw(t, "f")
		assert.InEpsilon(t, float64(k), float64(k.Kv(bore).K(bore)), 1e-14)
		assert.InEpsilon(t, float64(k), float64(LengthK(k.Length(bore, f), bore, f)), 1e-14)
		assert.InEpsilon(t, k.Quadratic(bore, 998), k.Kv(bore).Quadratic(998), 1e-14)
		kv := Kv(rapid.Float64Range(0.01, 100).Draw(t, "Kv"))
		assert.InEpsilon(t, float64(kv), float64(KvFromCv(kv.Cv())), 1e-15)
	})
}

func TestLookupFittingErrors(t *testing.T) {
	_, err := LookupFitting("brass crimp elbw", "1/2 in")
	assert.EqualError(t, err, `unknown fitting "brass crimp elbw" (did you mean "brass crimp elbow"?)`)
	_, err = LookupFitting("brass crimp elbow", "2 in")
	assert.EqualError(t, err, `brass crimp elbow "2 in": no such size (want 3/8 in, 1/2 in, 3/4 in, 1 in)`)
	_, err = LookupFitting("flux capacitor", "")
	assert.ErrorContains(t, err, "angle valve; angled lift check valve; ")
}

func ExampleLookupFitting() {
	elbow, err := LookupFitting("brass crimp elbow", "1/2 in")
	if err != nil {
		fmt.Println(err)
		return
	}
	k := elbow.K(0.475*unit.Inch, 0.029)
	dp := k.Quadratic(0.475*unit.Inch, 998) * math.Pow(float64(2*unit.GPM), 2)
	fmt.Printf("K %.1f, %.2f psi at 2 gpm\n", float64(k), dp/float64(unit.PSI))
	// Output: K 6.9, 0.61 psi at 2 gpm
}

func ExampleKv() {
	valve := KvFromCv(1.2)
	k := valve.K(0.475 * unit.Inch)
	fmt.Printf("Kv %.2f m³/h, K %.1f in 1/2 in PEX\n", float64(valve), float64(k))
	// Output: Kv 1.04 m³/h, K 31.5 in 1/2 in PEX
}
