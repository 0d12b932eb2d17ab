package kernel

// A factor of a large grid takes several times what the rest of an iteration does. There
// the stages of a step, which share its length, share the first one's factor, and so do a
// stage's iterations, for as long as each brings laws this much closer (simplified Newton:
// Hairer & Wanner, Solving Ordinary Differential Equations II, section IV.8).
const keptWhile = 0.2

// dearFrom is how many unknowns a plan has from which on a factor is worth keeping; the
// grids of coaches are smaller.
const dearFrom = 500

// dear reports whether the plan's factor takes longer than all else in an iteration.
func (p *plan) dear() bool { return p.unknowns >= dearFrom && len(p.fac.blocks) > 0 }

// keptFactor is a factor for what is left of a step.
type keptFactor struct {
	is    bool
	stiff []float64 // by store: its stiffness within it
}

// keep keeps the factor that was just made.
func (w *Work) keep(hg float64) {
	if w.kept.is = hg > 0 && w.plan.dear() && w.Without&Keeping == 0; w.kept.is {
		w.kept.stiff = append(w.kept.stiff[:0], w.stiff...)
	}
}

// repeat carries the right-hand side at the flows in w.q through the factor that was
// kept: every flow changes by the conductance that it has in there.
func (w *Work) repeat(hg float64) {
	p := w.plan
	w.fillStores(hg)
	for _, s := range w.active {
		w.stiff[s] = w.kept.stiff[s]
		w.lin[s].slope = w.stiff[s] * hg
	}
	w.fillBranches()
	p.fac.forward(w.rhs)
}
