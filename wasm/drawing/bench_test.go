package drawing

import "testing"

// BenchmarkFit is what a box that was never asked for costs: all manners of placing
// a rig, and the ways of its tubes.
func BenchmarkFit(b *testing.B) {
	for _, name := range []string{"nosuction", "twopath", "bench30"} {
		b.Run("rig="+name, func(b *testing.B) {
			p, _ := laid(b, name+".rig.toml")
			b.ReportAllocs()
			for b.Loop() {
				p.lattices = map[int]*routed{}
				p.fit(boxes["tablet"])
			}
		})
	}
}
