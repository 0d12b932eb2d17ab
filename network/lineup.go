package network

// A Lineup is how everything a hand can move stands, by part name. A part that
// is not named stands as nobody had touched it: shutoffs and selectors as their
// rig says, pumps powered, taps, drains and appliances shut, the hookup off.
type Lineup map[string]Setting

// A Setting is how one part stands. The zero Setting is "untouched".
type Setting struct {
	word    string  // "", "shut", "open", "on", "off", "capped", "shut at spigot", or a position's name
	opening float64 // 0 to 1, with word "open"
}

// Shut closes a shutoff, tap, drain, appliance or mixer.
func Shut() Setting { return Setting{word: "shut"} }

// Open opens a shutoff, tap, drain, appliance or mixer to a fraction of its travel.
func Open(fraction float64) Setting { return Setting{word: "open", opening: fraction} }

// On powers a pump, or puts the hookup on.
func On() Setting { return Setting{word: "on"} }

// Off cuts a pump's power, or takes the hose off and leaves the inlet open to the air.
func Off() Setting { return Setting{word: "off"} }

// Capped closes a hookup with a cap.
func Capped() Setting { return Setting{word: "capped"} }

// ShutAtSpigot leaves the hose on and shuts the spigot.
func ShutAtSpigot() Setting { return Setting{word: "shut at spigot"} }

// At turns a selector, or a mixer's handles ("hot", "cold"), to a position.
func At(position string) Setting { return Setting{word: position} }

// Word is the setting's word as rig and card files write it.
func (s Setting) Word() string { return s.word }

// Opening is the fraction of travel of an open part, 0 to 1.
func (s Setting) Opening() float64 { return s.opening }
