package yours

import (
	"encoding/json"
	"fmt"
	"slices"

	"quietpump/sim/diagnose/jobcard"
)

// kept is what survives a closed tab. The job is kept as its card, and the answers
// beside it.
type kept struct {
	Page    string            `json:"page"`
	Section string            `json:"section,omitempty"`
	Hose    string            `json:"hose"`
	What    string            `json:"what"`
	Ask     int               `json:"ask,omitempty"`
	Answers answers           `json:"answers,omitempty"`
	File    string            `json:"file,omitempty"` // the card tells the water system, which is no answer's
	Told    bool              `json:"told,omitempty"`
	Card    string            `json:"card"`
	Heater  string            `json:"heater,omitempty"`
	Ear     listening         `json:"ear"`
	Step    *step             `json:"step,omitempty"`
	Enter   entry             `json:"enter"`
	Values  map[string]string `json:"values,omitempty"`
}

// Keep is all that was told and tapped, as JSON.
func (c *Chapter) Keep() ([]byte, error) {
	return json.Marshal(kept{
		Page: c.page, Section: c.section, Hose: c.hose, What: c.what, Ask: c.ask, Answers: c.job.Answers, File: c.job.File, Told: c.job.told != nil,
		Card: string(marshal(&c.job)), Heater: string(c.job.Heater), Ear: c.ear, Step: c.step, Enter: c.enter, Values: c.enter.values,
	})
}

// Restore takes back what Keep gave; where it cannot, all stays as it was.
func (c *Chapter) Restore(data []byte) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	if !slices.Contains(pages, k.Page) {
		return fmt.Errorf("yours: there is no page %q", k.Page)
	}
	card, err := jobcard.Parse("kept.card.toml", []byte(k.Card), nil)
	if err != nil {
		return err
	}
	j := job{Answers: k.Answers, File: k.File, Facts: card.Facts, Access: card.Access, Read: card.Readings, Done: card.Done}
	if k.Told {
		j.told = card
	}
	j.Heater = heaterOf(k.Heater)
	if k.Hose != "on" {
		k.Hose = "off"
	}
	if k.What != tankRises && k.What != reliefDrips {
		k.What = pumpStarts
	}
	c.page, c.section, c.hose, c.what, c.ask, c.job, c.ear, c.step, c.enter = k.Page, k.Section, k.Hose, k.What, k.Ask, j, k.Ear, k.Step, k.Enter
	c.enter.values = k.Values
	c.dirty, c.work, c.asOf = true, nil, ""
	return nil
}
