package chart

import (
	"strconv"
	"strings"
)

// Advance widths of printable ASCII in DejaVu Sans 2.37, book and bold, in
// thousandths of the size, from the face's own table (hmtx). It is the widest
// face that a browser is likely to put in for sans-serif, so what fits in it
// fits in the others.
var widths = [2][95]int{
	{
		318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337,
		636, 636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531,
		1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787,
		603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500,
		500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
		635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
	},
	{
		348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365,
		696, 696, 696, 696, 696, 696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 580,
		1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995, 837, 850,
		733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500,
		500, 675, 716, 593, 716, 678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687,
		716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712, 365, 712, 838,
	},
}

// other is the width of whatever is not ASCII: that of a wide letter.
const other = 1000

// Wide is how wide a text is at most, in px, at a size.
func Wide(text string, size float64, bold bool) float64 {
	face := &widths[0]
	if bold {
		face = &widths[1]
	}
	sum := 0
	for _, r := range text {
		switch {
		case r >= ' ' && r <= '~':
			sum += face[r-' ']
		case r == '×' || r == '±' || r == '–' || r == '·' || r == '°' || r == '’':
			sum += 838
		default:
			sum += other
		}
	}
	return float64(sum) / 1000 * size
}

// wrap breaks a text into lines that fit, at its spaces. A word too long for a
// line is cut, and ends in an ellipsis.
func wrap(text string, width, size float64, bold bool) []string {
	var lines []string
	line := ""
	for _, word := range together(strings.Fields(text)) {
		word = fit(word, width, size, bold)
		switch {
		case line == "":
			line = word
		case Wide(line+" "+word, size, bold) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// together joins numbers to the unit that follows them.
func together(words []string) []string {
	var out []string
	for i := 0; i < len(words); i++ {
		word := words[i]
		if _, err := strconv.ParseFloat(word, 64); err == nil && i+1 < len(words) {
			i++
			word += " " + words[i]
		}
		out = append(out, word)
	}
	return out
}

// fit cuts a text that is too wide, and marks the cut.
func fit(text string, width, size float64, bold bool) string {
	if Wide(text, size, bold) <= width {
		return text
	}
	runes := []rune(text)
	for len(runes) > 0 && Wide(string(runes)+"…", size, bold) > width {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimRight(string(runes), " ") + "…"
}
