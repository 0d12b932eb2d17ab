package yours

import (
	"fmt"
	"strings"

	"quietpump/sim/diagnose"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// Sheet is the margin note as it stands.
func (c *Chapter) Sheet(look frame.Look) sheet.Sheet {
	c.sys = look.Units
	var s sheet.Sheet
	switch c.page {
	case atAsk:
		c.askSheet(&s)
	case atLooks:
		c.looksSheet(&s)
	case atAnswer:
		c.answerSheet(&s)
	case atStep:
		c.stepSheet(&s)
	case atListen:
		c.listenSheet(&s)
	case atEnter:
		c.enterSheet(&s)
	case atCard:
		c.cardSheet(&s)
	case atSection:
		c.sectionSheet(&s)
	default:
		c.startSheet(&s)
	}
	s.Page = c.page
	switch c.page {
	case atSection:
		s.Page += c.section
	case atAsk:
		s.Page += fmt.Sprint(c.ask)
	case atEnter:
		s.Page += c.enter.Kind
	}
	if c.problem != "" {
		var list []sheet.Block
		for _, line := range strings.Split(c.problem, "\n") {
			list = append(list, sheet.Words{Text: line, Style: sheet.Caution})
		}
		s.Blocks = append(list, s.Blocks...)
	}
	s.Say = strings.TrimSpace(c.said + " " + s.Title)
	if c.problem != "" {
		s.Say = c.problem
	}
	return s
}

// heaterOf is what the water heater was doing, as it was kept.
func heaterOf(text string) diagnose.Heater {
	switch h := diagnose.Heater(text); h {
	case diagnose.HeaterSettled, diagnose.HeaterWarming, diagnose.HeaterCooling:
		return h
	}
	return diagnose.HeaterUnknown
}
