// Package near finds the word somebody meant when they wrote another.
package near

import "strings"

// Word returns the word of words closest to the one written, at most two slips
// away and for short words fewer, or "" where none is that close. A slip is a
// letter left out, put in, changed or swapped with its neighbour. Case is no
// slip; of equals the first wins.
func Word(written string, words []string) string {
	fold := []rune(strings.ToLower(written))
	limit := min(3, (len(fold)+2)/3+1, len(fold))
	best, near := limit, ""
	for _, w := range words {
		if w == written || len(w) > 4*(len(fold)+limit) {
			continue
		}
		if d := slips(fold, []rune(strings.ToLower(w)), best); d < best {
			best, near = d, w
		}
	}
	return near
}

// slips is the optimal string alignment distance of a and b, counted up to limit.
func slips(a, b []rune, limit int) int {
	if max(len(a)-len(b), len(b)-len(a)) >= limit {
		return limit
	}
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least >= limit {
			return limit
		}
		before, last, row = last, row, before
	}
	return min(last[len(b)], limit)
}
