package waves

import "quietpump/hydraulics/unit"

// A Cavity is where water was torn apart: a tube, or a joint, in which the pressure
// fell to that of boiling water. What the model says of it, and no more: that it came
// to that, when, and about how much vapour there was. See the package's limits.
type Cavity struct {
	Tube, Joint string      // one of the two
	At          unit.Length // of the largest, from the tube's first end
	Volume      unit.Volume // of the largest, at one place of the grid
	Share       float64     // of the water in one reach: above a tenth the model is out of its depth
	From, To    float64     // when there was vapour, s
}

// vapour is what is noted of a tube or node that boils.
type vapour struct {
	most     float64 // m³
	spot     int32
	from, to int32 // steps; 0: none
}

func (v *vapour) take(cavity float64, spot int32, n int) {
	if v.from == 0 {
		v.from = int32(n)
	}
	v.to = int32(n)
	if cavity > v.most {
		v.most, v.spot = cavity, spot
	}
}

// keepVapour notes where there is vapour now.
func (r *Run) keepVapour() {
	f := &r.field
	for k := 0; f.torn && k < len(f.reaches); k++ {
		w := &f.reaches[k]
		for i := w.first + 1; i < w.last; i++ {
			if c := f.spots[i].cavity; c > 0 {
				r.vapour[k].take(c, i-w.first, r.n)
				r.lost = r.lost || c > wildVoid
			}
		}
	}
	for i := range r.nodes {
		if c := r.nodes[i].cavity; c > 0 {
			r.vapour[len(f.reaches)+i].take(c, 0, r.n)
			r.lost = r.lost || c > wildVoid
		}
	}
}

// cavities are all that were seen.
func (r *Run) cavities() []Cavity {
	var out []Cavity
	f := &r.field
	dt := f.dt
	water := func(w *reach) float64 { return w.area * w.long / float64(w.last-w.first) }
	for k := range f.reaches {
		if v := &r.vapour[k]; v.from > 0 {
			w := &f.reaches[k]
			at := w.long * float64(v.spot) / float64(w.last-w.first)
			out = append(out, Cavity{Tube: r.pulses[k].tube.Name, At: unit.Length(at), Volume: unit.Volume(v.most),
				Share: v.most / water(w), From: float64(v.from) * dt, To: float64(v.to) * dt})
		}
	}
	for _, j := range r.model.Rig().Joints() {
		i := r.at[r.form.Joints[j.Name]]
		v := &r.vapour[len(f.reaches)+int(i)]
		if v.from == 0 {
			continue
		}
		room := 0.0 // half a reach of each tube that ends there
		for k := range f.reaches {
			w := &f.reaches[k]
			if w.from == i {
				room += water(w) / 2
			}
			if w.to == i {
				room += water(w) / 2
			}
		}
		c := Cavity{Joint: j.Name, Volume: unit.Volume(v.most), From: float64(v.from) * dt, To: float64(v.to) * dt}
		if room > 0 {
			c.Share = v.most / room
		}
		out = append(out, c)
	}
	return out
}
