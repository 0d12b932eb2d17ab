package repair

// A Caution stands beside the step it belongs to.
type Caution string

// The cautions.
const (
	PullFuse    Caution = "Pull the pump's fuse and try a tap: a switch on one of several panels, a latching relay or a phone app is not enough. Shore power off too."
	HeaterOff   Caution = "Heater off on gas and electric, and cool: at 140 °F skin burns in 3 to 5 seconds. Let the pressure out through a hot tap, not by the relief lever."
	HeaterOn    Caution = "Do not switch the heater on again until water runs from the hot tap."
	NeverPlug   Caution = "Never plug or defeat a relief valve."
	Regulated   Caution = "Hose only through a regulator, within the rating of the weakest part."
	BesideHose  Caution = "Before testing on the hose see that the tank's overflow and vent are free and lead outdoors; stay beside it, never leave it or sleep on it."
	Chlorine    Caution = "Hose off while chlorine or antifreeze is in the lines. Never mix bleach with acids or other cleaners."
	PotableOnly Caution = "Use parts listed for potable water, and sanitise after opening."
	LastWord    Caution = "Local codes and a licensed or certified technician have the last word."
	NotUnder    Caution = "Never work on a connection under pressure."
	Overnight   Caution = "Do not leave the pump on overnight, or when nobody is there, while a leak indoors is suspected."
)
