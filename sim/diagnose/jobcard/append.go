package jobcard

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// ErrBusy says that somebody else goes on writing to a card.
var ErrBusy = errors.New("somebody else is writing to the card; try again")

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
	return appendTable(path, "reading", func(*Card) *document.Node { return plainly(readings(), rowOf(r)) })
}

// AppendDone adds a step that was taken to a card's file, as [Append] does. It
// comes after the readings that the card has; its Before is not looked at.
func AppendDone(path string, x diagnose.Done) error {
	return appendTable(path, "done", func(c *Card) *document.Node {
		x.Before = len(c.Readings)
		return plainly(dones(), x)
	})
}

func appendTable(path, section string, tableFor func(*Card) *document.Node) error {
	table := tableFor(&Card{})
	err := alone(path, func(still func() bool) error {
		data, err := document.ReadFile(path)
		if err != nil {
			return err
		}
		card, err := Parse(path, data, Beside(path)) // with the places of the file as it is
		if err != nil {
			return err
		}
		table = tableFor(card)
		src := document.NewSource(path, data)
		root, _ := src.Read()
		text := src.Append(root, section, table)
		if _, err := Parse("with the "+section, text, Beside(path)); err != nil {
			return err
		}
		if !still() { // asleep for so long that another went on
			return ErrBusy
		}
		return document.WriteFile(path, text)
	})
	if err != nil {
		told := &document.Node{Shape: document.Table}
		add(told, section, []*document.Node{table})
		return &AppendError{path, string(told.TOML()), err}
	}
	return nil
}

// patience is how long one and the same writer is waited for.
var patience = 2 * time.Second

// forsaken is the age from which on a lock was left behind.
const forsaken = 20 * time.Second

// alone runs f while no other append to the file runs, in this program or
// another: a file beside it that only one can create, and that says whose it is, stands
// for that. f may ask whether it still is alone, and has to before it writes.
func alone(path string, f func(still func() bool) error) error {
	if _, err := os.Stat(path); err != nil {
		return err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	lock := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".lock")
	mine, other := strconv.FormatUint(rand.Uint64(), 36), ""
	for began := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		err := take(lock, mine)
		if err == nil {
			still := func() bool {
				holder, err := os.ReadFile(lock)
				return err == nil && string(holder) == mine
			}
			defer func() {
				if still() {
					os.Remove(lock)
				}
			}()
			return f(still)
		}
		if !errors.Is(err, fs.ErrExist) {
			return err
		}
		if holder, err := os.ReadFile(lock); err == nil && string(holder) != other {
			other, began = string(holder), time.Now() // it has changed hands
		}
		if leftBehind(lock) {
			clearAway(lock)
		} else if time.Since(began) > patience {
			return ErrBusy
		}
	}
}

// take creates a lock that says whose it is; the error is fs.ErrExist where there is one.
func take(lock, whose string) error {
	file, err := os.OpenFile(lock, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = file.WriteString(whose)
	if err = errors.Join(err, file.Close()); err != nil {
		os.Remove(lock)
	}
	return err
}

func leftBehind(lock string) bool {
	info, err := os.Stat(lock)
	return err == nil && time.Since(info.ModTime()) > forsaken
}

// clearAway removes a lock that was left behind. Only one at a time may, and looks once
// more before it does: of two who saw the same old lock the second would remove the one
// that the first has meanwhile put in its place.
func clearAway(lock string) {
	guard := lock + ".old"
	if err := take(guard, ""); err != nil {
		if leftBehind(guard) {
			os.Remove(guard)
		}
		return
	}
	defer os.Remove(guard)
	if leftBehind(lock) {
		os.Remove(lock)
	}
}
