package unit

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A count is a number as read: the nearest float64, as a Go constant would be,
// and, if it was written with more than 17 digits, all of them.
type count struct {
	hi   float64
	long *big.Float
	lost bool // written as more than zero and smaller than any float64
}

// precision, in bits, holds 48 decimal digits. More are of no use to a float64.
const precision = 160

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func trimLeft(s string) string { return strings.TrimLeftFunc(s, unicode.IsSpace) }

// vulgar are the fractions that have a letter of their own.
var vulgar = map[rune]float64{
	'½': 1. / 2, '¼': 1. / 4, '¾': 3. / 4, '⅓': 1. / 3, '⅔': 2. / 3,
	'⅛': 1. / 8, '⅜': 3. / 8, '⅝': 5. / 8, '⅞': 7. / 8, '⅙': 1. / 6, '⅚': 5. / 6, '⅕': 1. / 5,
}

// words are numbers people write out.
var words = map[string]float64{
	"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
	"nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30, "forty": 40,
	"fifty": 50, "sixty": 60, "half": 0.5, "quarter": 0.25, "third": 1. / 3,
}

// readCount reads the number with which text begins: "45", "-2.5e-6",
// "2.5 × 10⁻⁶", "1/2", "3 1/2", "3-1/2", "3½", "a", "half a", "ten", "two and
// a half". The rest is returned as it stands.
func readCount(text string) (n count, rest string, ok bool) {
	s := trimLeft(text)
	sign := 1.0
	if r, size := utf8.DecodeRuneInString(s); r == '-' || r == '−' || r == '+' {
		if r != '+' {
			sign = -1
		}
		s = s[size:]
	}
	n, rest, ok = readUnsigned(s)
	if word, after := nextWord(rest); ok && word == "and" && n.long == nil {
		if part, after, found := readWords(after); found && part < 1 {
			n.hi, rest = n.hi+part, after
		}
	}
	n.hi *= sign
	if n.long != nil && sign < 0 {
		n.long.Neg(n.long)
	}
	return n, rest, ok && finite(n.hi)
}

func readUnsigned(s string) (n count, rest string, ok bool) {
	if x, size, ok := readVulgar(s); ok {
		return count{hi: x}, s[size:], true
	}
	number := decimal(s)
	if number == "" {
		x, rest, ok := readWords(s)
		return count{hi: x}, rest, ok
	}
	n, rest = toCount(number), s[len(number):]
	if exponent, after, ok := readPower(rest); ok && !strings.ContainsAny(number, "eE") {
		return toCount(number + "e" + exponent), after, true
	}
	if strings.Trim(number, "0123456789") != "" {
		return n, rest, true
	}
	if x, size, ok := readFraction(s); ok { // 1/2
		return count{hi: x}, s[size:], true
	}
	after := trimLeft(strings.TrimPrefix(trimLeft(rest), "-")) // 3-1/2
	if x, size, ok := readFraction(after); ok {                // 3 1/2
		return count{hi: n.hi + x}, after[size:], true
	}
	if x, size, ok := readVulgar(after); ok { // 3½
		return count{hi: n.hi + x}, after[size:], true
	}
	return n, rest, true
}

// decimal returns the decimal number, exponent and all, with which s begins.
func decimal(s string) string {
	i, digits := 0, 0
	for ; i < len(s) && (s[i] == '.' || isDigit(s[i])); i++ {
		if isDigit(s[i]) {
			digits++
		} else if strings.Contains(s[:i], ".") {
			break
		}
	}
	if digits == 0 {
		return ""
	}
	if j := i; j < len(s) && (s[j] == 'e' || s[j] == 'E') {
		j++
		if j < len(s) && (s[j] == '-' || s[j] == '+') {
			j++
		}
		if j < len(s) && isDigit(s[j]) {
			for j < len(s) && isDigit(s[j]) {
				j++
			}
			i = j
		}
	}
	return s[:i]
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// toCount converts a text that decimal returned.
func toCount(number string) count {
	x, _ := strconv.ParseFloat(number, 64) // out of range is ±Inf, which the caller refuses
	mantissa, _, _ := strings.Cut(strings.ToLower(number), "e")
	mantissa = strings.TrimLeft(mantissa, "0.")
	n := count{hi: x, lost: x == 0 && mantissa != ""}
	if digits := len(mantissa) - strings.Count(mantissa, "."); digits > 17 && finite(x) && x != 0 {
		n.long, _, _ = big.ParseFloat(number, 10, precision, big.ToNearestEven)
	}
	return n
}

// readPower reads " × 10^-6" or "×10⁻⁶" and returns "-6".
func readPower(s string) (exponent, rest string, ok bool) {
	s = trimLeft(s)
	r, size := utf8.DecodeRuneInString(s)
	if r != '×' && r != '*' && r != 'x' {
		return "", "", false
	}
	s, ok = strings.CutPrefix(trimLeft(s[size:]), "10")
	if !ok {
		return "", "", false
	}
	const raised = "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"
	s, caret := strings.CutPrefix(s, "^")
	end := strings.IndexFunc(s, func(r rune) bool {
		if caret {
			return !strings.ContainsRune("0123456789-−", r)
		}
		return !strings.ContainsRune(raised, r)
	})
	if end < 0 {
		end = len(s)
	}
	for _, r := range s[:end] {
		switch i := strings.IndexRune(raised, r); {
		case r == '−' || r == '⁻':
			exponent += "-"
		case i >= 0:
			exponent += strconv.Itoa(utf8.RuneCountInString(raised[:i]))
		default:
			exponent += string(r)
		}
	}
	_, err := strconv.Atoi(exponent)
	return exponent, s[end:], err == nil
}

// readFraction reads "1/2"; the digits end where the unit begins.
func readFraction(s string) (x float64, size int, ok bool) {
	top := len(s) - len(strings.TrimLeft(s, "0123456789"))
	if top == 0 || top == len(s) {
		return 0, 0, false
	}
	r, stroke := utf8.DecodeRuneInString(s[top:])
	if r != '/' && r != '⁄' {
		return 0, 0, false
	}
	under := s[top+stroke:]
	under = under[:len(under)-len(strings.TrimLeft(under, "0123456789"))]
	a, errA := strconv.ParseFloat(s[:top], 64)
	b, errB := strconv.ParseFloat(under, 64)
	if errA != nil || errB != nil || b == 0 {
		return 0, 0, false
	}
	return a / b, top + stroke + len(under), true
}

func readVulgar(s string) (x float64, size int, ok bool) {
	r, size := utf8.DecodeRuneInString(s)
	x, ok = vulgar[r]
	return x, size, ok
}

// readWords reads "a", "ten", "half a", "a quarter of a".
func readWords(s string) (x float64, rest string, ok bool) {
	word, rest := nextWord(s)
	x, ok = words[word]
	if !ok {
		return 0, s, false
	}
	if part, after := nextWord(rest); word == "a" && words[part] > 0 && words[part] < 1 { // a half
		x, rest = words[part], after
	}
	if x < 1 {
		if word, after := nextWord(rest); word == "of" {
			rest = after
		}
		if word, after := nextWord(rest); word == "a" || word == "an" {
			rest = after
		}
	}
	return x, rest, true
}

// nextWord returns the first word of s in lower case, and what follows it.
func nextWord(s string) (word, rest string) {
	s = trimLeft(s)
	end := strings.IndexFunc(s, func(r rune) bool { return !unicode.IsLetter(r) })
	if end < 0 {
		end = len(s)
	}
	return strings.ToLower(s[:end]), s[end:]
}
