package network

// A passage is one way of water through a part, or out of it.
type passage struct {
	from, to string      // joints; to is "" where the way ends
	end      Destination // where it ends; "" where it goes on to a joint
	where    string      // what stands there by name, as far as the part knows it
	tight    bool        // it should hold water back: only a seep passes
	oneWay   bool        // from from to to alone; else the other way too
	pair     [2]string   // names the port pair where the part has several
}

// A Destination is where water that escapes ends.
type Destination string

// The destinations, in the order in which escape paths are listed.
const (
	ToFreshTank Destination = "fresh tank"
	ToWasteTank Destination = "waste tank"
	ToAppliance Destination = "appliance"
	ToBellyPan  Destination = "belly pan" // or another place indoors where it shows
	ToGround    Destination = "ground"
	ToHose      Destination = "hose"
)

var destinations = [...]Destination{ToFreshTank, ToWasteTank, ToAppliance, ToBellyPan, ToGround, ToHose}

// through is the open way of a part between two joints.
func through(from, to string) []passage { return []passage{{from: from, to: to}} }

// heldBack is the way of a part that passes water forward alone.
func heldBack(from, to string) []passage {
	return []passage{
		{from: from, to: to, oneWay: true},
		{from: to, to: from, oneWay: true, tight: true},
	}
}

// outlet is the way out of a part that ends at a place.
func outlet(at string, end Destination, where string, s Setting) []passage {
	return []passage{{from: at, end: end, where: where, oneWay: true, tight: s.word == "shut"}}
}
