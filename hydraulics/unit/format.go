package unit

import (
	"fmt"
	"strconv"
	"strings"
)

// format serves every verb of fmt for q. %e, %f and %g format the number, in
// the US unit natural to its size, with the flags and precision given; %v and
// %s are String, their precision counting significant digits; the width counts
// number and unit together. %#v is the Go value.
func format(f fmt.State, verb rune, q Any) {
	k, v := q.measured()
	digits, told := f.Precision()
	if !told {
		digits = shownDigits
	}
	var text string
	switch verb {
	case 'v', 's', 'q':
		text = US.Format(q, digits)
		if verb == 'q' {
			text = strconv.Quote(text)
		}
		if verb == 'v' && f.Flag('#') {
			text = fmt.Sprintf("unit.%s(%v)", k.typ, v)
		}
	case 'e', 'E', 'f', 'F', 'g', 'G':
		m := k.natural(US, v)
		layout := "%"
		for _, flag := range "+# " {
			if f.Flag(int(flag)) {
				layout += string(flag)
			}
		}
		if told {
			layout += "." + strconv.Itoa(digits)
		}
		x := fmt.Sprintf(layout+string(verb), m.of(v))
		text = x + " " + m.plural(x)
	default:
		text = fmt.Sprintf("%%!%c(unit.%s=%s)", verb, k.typ, US.Format(q, shownDigits))
	}
	if width, ok := f.Width(); ok {
		pad := strings.Repeat(" ", max(0, width-len([]rune(text))))
		if f.Flag('-') {
			text += pad
		} else {
			text = pad + text
		}
	}
	fmt.Fprint(f, text)
}
