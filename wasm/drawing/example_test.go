package drawing_test

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/drawing"
	"quietpump/wasm/frame"
)

func Example() {
	rig, err := network.New("camper",
		network.Tank{Name: "fresh tank", Ports: []string{"outlet"}},
		network.Pump{Name: "pump", From: "outlet", To: "pump out"},
		network.Tube{Name: "line", From: "pump out", To: "galley"},
		network.Fixture{Name: "galley tap", At: "galley"},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := drawing.Lay(rig)
	if err != nil {
		fmt.Println(err)
		return
	}
	phone := frame.Box{X1: 390, Y1: 260}
	view := drawing.View{Lineup: network.Lineup{"galley tap": network.Open(1)}}
	picture := chart.Drawing{Width: 390, Height: 260, Title: rig.Name()}
	plan.Still(&picture, phone, frame.Look{}, view)
	plan.Moving(&picture, phone, frame.Look{}, time.Unix(0, 0), view)
	var svg bytes.Buffer
	if err := picture.SVG(&svg, chart.Light, "camper"); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("tap named:", strings.Contains(svg.String(), ">galley tap</text>"))

	tank, _ := plan.Where("fresh tank", phone)
	tap, _ := plan.Where("galley tap", phone)
	fmt.Println("tank left of tap and below it:", tank.X1 < tap.X0 && tank.Y0 > tap.Y1)
	part, _ := plan.Find(tap.X0-8, tap.Y0, phone)
	fmt.Println("a finger beside the tap means the", part)
	// Output:
	// tap named: true
	// tank left of tap and below it: true
	// a finger beside the tap means the galley tap
}
