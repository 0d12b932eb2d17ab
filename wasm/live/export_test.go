package live

import "quietpump/sim"

// Ledger is where the water went since the beginning.
func (l *Live) Ledger() sim.Ledger { return l.before.Add(l.run.Record().Ledger) }
