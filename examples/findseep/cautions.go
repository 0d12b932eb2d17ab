package main

// cautions go with every answer that leads to work on the vehicle.
var cautions = []string{
	"Before you open anything, pull the pump's fuse and try a tap. A switch on a panel, a relay or a phone app is not enough; unplug shore power too.",
	"Heater off on gas and electric, and cool. Let the pressure out through a hot tap, not by the relief lever. Do not switch it on again until water runs from the hot tap.",
	"Never plug or defeat a relief valve.",
	"Hose only through a regulator, within the rating of the weakest part. Before testing on the hose see that the tank's overflow and vent are free and lead outdoors; stay beside it, and never leave it or sleep on it.",
	"Hose off while chlorine or antifreeze is in the lines. Use parts listed for potable water, and sanitise after opening.",
	"Local codes and a licensed or certified technician have the last word.",
}
