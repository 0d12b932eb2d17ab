package waves

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/network"
)

func TestWay(t *testing.T) {
	rig := house(t, "twopath").Rig()
	names := func(l network.Lineup, from, to string) (list []string) {
		for _, leg := range Way(rig, l, from, to) {
			name := leg.Tube.Name
			if leg.Back {
				name += " back"
			}
			list = append(list, name)
		}
		return list
	}
	assert.Equal(t, []string{"pump line", "bay line", "trunk", "galley cold line"}, names(nil, "pump out", "galley cold"))
	assert.Equal(t, []string{"galley cold line back", "shower cold line", "basin line"}, names(nil, "galley cold", "basin"))
	assert.Nil(t, names(nil, "shower cold", "shower hose"), "its handles are shut")
	open := network.Lineup{"shower handles": network.At("hot")}
	assert.Equal(t, []string{"pump line", "bay line", "trunk", "heater inlet", "hot trunk line", "shower hot line"}, names(open, "pump out", "shower hose"))
	assert.Nil(t, names(nil, "galley cold", "galley cold"))
	assert.Nil(t, names(nil, "attic", "galley cold"))
}
