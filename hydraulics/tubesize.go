package hydraulics

import (
	"fmt"
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
)

// A TubeSize is a tube by its trade size.
type TubeSize struct {
	Material string      // "pex", "copper", "copper m" or "hose"
	Size     string      // nominal, such as "1/2 in"
	OD       unit.Length // outside diameter; zero for hose: it is sold by its bore
	Bore     unit.Length // average inside diameter
	// LargestBore is OD less two minimum walls, which some pressure-loss tables
	// use: 10 % less loss in 1/2 in PEX. It equals Bore where only one is in use.
	LargestBore unit.Length
	Wall        unit.Length // (OD − Bore)/2; for hose a guess of 1/8 in, common practice, no source
	Roughness   unit.Length // of the wall, new
	Source      string
}

// drawn is the roughness of drawn tube, 0.000005 ft = 1.5e-6 m: L. F. Moody,
// Trans. ASME 66 (1944) 671. It is used for PEX and hose too, whose published
// pressure losses cannot be told from a smooth tube's.
const drawn = 0.000005 * unit.Foot

// The sizes, in inches as the tables print them. PEX is CTS SDR-9 tube.
var tubeSizes = slices.Concat(
	// Outside diameter, average bore, minimum wall: makers' design manuals, 2014,
	// and trade page, year not stated (3/8 in); minimum wall also in the PEX sheet
	// filed with San Joaquin County (California) Environmental Health, 6 Mar 2018.
	tubes("pex", "maker's design manual, 2014; SDR-9 tube to ASTM F876/F877",
		inches{"3/8 in", 0.500, 0.350, 0.070},
		inches{"1/2 in", 0.625, 0.475, 0.070},
		inches{"5/8 in", 0.750, 0.574, 0.083},
		inches{"3/4 in", 0.875, 0.671, 0.097},
		inches{"1 in", 1.125, 0.863, 0.125},
	),
	tubes("copper", "ASTM B88 type L; trade page, year not stated; 3/8 and 5/8 in from memory",
		inches{"3/8 in", 0.500, 0.430, 0.035},
		inches{"1/2 in", 0.625, 0.545, 0.040},
		inches{"5/8 in", 0.750, 0.666, 0.042},
		inches{"3/4 in", 0.875, 0.785, 0.045},
		inches{"1 in", 1.125, 1.025, 0.050},
	),
	tubes("copper m", "ASTM B88 type M; trade page, year not stated; 3/8 in from memory",
		inches{"3/8 in", 0.500, 0.450, 0.025},
		inches{"1/2 in", 0.625, 0.569, 0.028},
		inches{"3/4 in", 0.875, 0.811, 0.032},
		inches{"1 in", 1.125, 1.055, 0.035},
	),
	tubes("hose", "common practice, no source",
		inches{"3/8 in", 0, 0.375, 0.125},
		inches{"1/2 in", 0, 0.500, 0.125},
		inches{"5/8 in", 0, 0.625, 0.125},
		inches{"3/4 in", 0, 0.750, 0.125},
	),
)

// inches is a line of a size table: outside diameter, bore, minimum wall.
type inches struct {
	size          string
	od, bore, min float64
}

func tubes(material, source string, lines ...inches) []TubeSize {
	var list []TubeSize
	for _, l := range lines {
		t := TubeSize{
			Material: material, Size: l.size, Source: source, Roughness: drawn,
			OD: unit.Length(l.od) * unit.Inch, Bore: unit.Length(l.bore) * unit.Inch,
		}
		t.LargestBore, t.Wall = t.OD-2*unit.Length(l.min)*unit.Inch, (t.OD-t.Bore)/2
		if l.od == 0 {
			t.LargestBore, t.Wall = t.Bore, unit.Length(l.min)*unit.Inch
		}
		list = append(list, t)
	}
	return list
}

// LookupTube returns a tube by material and nominal size: LookupTube("pex",
// "1/2 in"). Material is "pex", "copper" (type L), "copper m" or "hose"; the
// inch mark of the size may be left out or written as ". The error of an unknown
// material or size lists those there are.
func LookupTube(material, size string) (TubeSize, error) {
	name := strings.Join(strings.Fields(strings.ToLower(material)), " ")
	switch name {
	case "copper l", "copper type l":
		name = "copper"
	case "copper type m":
		name = "copper m"
	}
	var sizes, materials []string
	for _, t := range tubeSizes {
		materials = append(materials, t.Material)
		if t.Material != name {
			continue
		}
		if t.Size == sizeName(size) {
			return t, nil
		}
		sizes = append(sizes, t.Size)
	}
	if sizes == nil {
		return TubeSize{}, unknown("tube material", material, slices.Compact(materials))
	}
	return TubeSize{}, fmt.Errorf("%s tube %q: no such size (want %s)", name, size, strings.Join(sizes, ", "))
}

// sizeName writes a nominal size as the tables have it: "1/2 in".
func sizeName(size string) string {
	s := strings.ToLower(strings.TrimSpace(size))
	for _, mark := range []string{`"`, "″", "inches", "inch", "in."} {
		if before, ok := strings.CutSuffix(s, mark); ok {
			s = before
			break
		}
	}
	s = strings.TrimSpace(strings.TrimSuffix(s, "in"))
	return strings.Replace(s, "½", "1/2", 1) + " in"
}

// unknown is the error for a word that is in none of the lists, with the nearest
// one if it is within two letters.
func unknown(what, word string, known []string) error {
	near, best := "", 3
	for _, k := range known {
		if d := editDistance(strings.ToLower(word), k); d < best {
			near, best = k, d
		}
	}
	if near != "" {
		return fmt.Errorf("unknown %s %q (did you mean %q?)", what, word, near)
	}
	return fmt.Errorf("unknown %s %q (want one of: %s)", what, word, strings.Join(known, "; "))
}

// editDistance counts the letters to insert, delete or change to turn a into b.
func editDistance(a, b string) int {
	line := make([]int, len(b)+1)
	for j := range line {
		line[j] = j
	}
	for i := range len(a) {
		diagonal := line[0]
		line[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = line[j+1]
			line[j+1] = min(change, line[j]+1, diagonal+1)
		}
	}
	return line[len(b)]
}
