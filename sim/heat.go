package sim

import (
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// heater returns the heater of that name.
func (m *Model) heater(name string) (network.Heater, bool) {
	p, ok := m.rig.Part(name)
	if !ok {
		return network.Heater{}, false
	}
	h, ok := p.(network.Heater)
	return h, ok
}

// startTemperature is the temperature of a heater at time zero.
func (o *Options) startTemperature(name string) unit.Temperature {
	if t, ok := o.Start.Temperatures[name]; ok && t > 0 {
		return t
	}
	return unit.Celsius(20)
}

// heaterRamp turns the temperatures a heater reaches into a ramp of volume; it
// stands at its start's until the first, and each straight line begins where the
// one before ended.
func heaterRamp(h network.Heater, at, temps []float64, start unit.Temperature) kernel.Ramp {
	t, T := []float64{0}, []unit.Temperature{start}
	for i := range at {
		if at[i] == 0 {
			T[0] = unit.Temperature(temps[i])
			continue
		}
		t = append(t, at[i])
		T = append(T, unit.Temperature(temps[i]))
	}
	return ramp(h, t, T)
}
