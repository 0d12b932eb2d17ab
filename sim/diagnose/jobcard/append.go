package jobcard

import (
	"bytes"
	"errors"
	"fmt"

	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// ErrChanged says that a card was written by somebody else meanwhile.
var ErrChanged = errors.New("somebody else wrote to the card meanwhile")

// An AppendError says why something could not be added to a card, which is as it
// was. Text is what would have been added, as TOML, so that nothing is lost.
type AppendError struct {
	Path string
	Text string
	Err  error
}

// Error returns why, and what would have been added.
func (e *AppendError) Error() string {
	return fmt.Sprintf("%s: nothing was added, the card is as it was: %v\nThis is what would have been added:\n\n%s", e.Path, e.Err, e.Text)
}

// Unwrap returns the reason.
func (e *AppendError) Unwrap() error { return e.Err }

// Append adds a reading to a card's file, behind those that are there. Comments,
// order and layout stay as they are; the file is replaced in one step, or left
// as it was with an [*AppendError].
func Append(path string, r diagnose.Reading) error {
	return appendTable(path, "reading", plainly(readings, rowOf(r)))
}

// AppendDone adds a step that was taken to a card's file, as [Append] does. It
// comes after the readings that the card has; its Before is not looked at.
func AppendDone(path string, x diagnose.Done) error {
	card, err := Read(path)
	if err == nil {
		x.Before = len(card.Readings)
	}
	return appendTable(path, "done", plainly(dones, x))
}

// tries is how often a card that changes meanwhile is read anew.
const tries = 3

func appendTable(path, section string, table *document.Node) error {
	alone := &document.Node{Shape: document.Table}
	add(alone, section, []*document.Node{table})
	fail := func(err error) error { return &AppendError{path, string(alone.TOML()), err} }
	for range tries {
		data, err := document.ReadFile(path)
		if err != nil {
			return fail(err)
		}
		if _, err := Parse(path, data, Beside(path)); err != nil { // with the places of the file as it is
			return fail(err)
		}
		src := document.NewSource(path, data)
		root, _ := src.Read()
		text := src.Append(root, section, table)
		if _, err := Parse("with the "+section, text, Beside(path)); err != nil {
			return fail(err)
		}
		now, err := document.ReadFile(path)
		if err != nil {
			return fail(err)
		}
		if !bytes.Equal(now, data) {
			continue
		}
		if err := document.WriteFile(path, text); err != nil {
			return fail(err)
		}
		return nil
	}
	return fail(ErrChanged)
}
