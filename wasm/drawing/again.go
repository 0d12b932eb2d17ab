package drawing

import (
	"slices"

	"quietpump/network"
)

// Again takes another rig of the same parts at the same joints, such as one with a
// larger accumulator: the picture stays, and shows how that one stands. It is false,
// and nothing is changed, where the parts are others.
func (p *Plan) Again(rig *network.Rig) bool {
	parts := rig.Parts()
	if !slices.EqualFunc(parts, p.g.parts, func(a, b network.Part) bool {
		return a.ID() == b.ID() && a.Kind() == b.Kind() && slices.Equal(a.Joints(), b.Joints())
	}) {
		return false
	}
	p.rig, p.g.rig, p.g.parts = rig, rig, parts
	return true
}
