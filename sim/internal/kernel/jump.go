package kernel

// Jump puts the workspace at time t, where the stores have other volumes by then and each path has carried, and each store spilled,
// so much since the start. The mode goes on as it was entered, and steps go on to follow how it went the time before.
func (w *Work) Jump(t float64, vol, moved, spilled []float64) error {
	w.Flush()
	w.t = t
	copy(w.vol, vol)
	copy(w.PathMoved, moved)
	copy(w.Spilled, spilled)
	if err := w.here(false); err != nil {
		return err
	}
	w.dueNow(false, true)
	w.dueNow(false, false)
	return nil
}
