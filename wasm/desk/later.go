package desk

import (
	"time"

	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// Later is a chapter that is made when it is first opened, so that a page which shows
// one does not wait for the others. Like is an empty one, which knows its key and its
// name. What is kept of the chapter meanwhile stays as it came; where it cannot be taken
// back, that is told as the chapter is opened.
func Later(like Chapter, make func() Chapter) Chapter { return &later{like: like, make: make} }

type later struct {
	like    Chapter
	make    func() Chapter
	made    Chapter // nil: it has not been opened
	kept    []byte  // to be taken back when it is
	problem error   // that it met then
}

// opened is the chapter itself.
func (l *later) opened() Chapter {
	if l.made == nil {
		l.made = l.make()
		if l.kept != nil {
			l.problem, l.kept = l.made.Restore(l.kept), nil
		}
	}
	return l.made
}

func (l *later) Key() string                                 { return l.like.Key() }
func (l *later) Name() string                                { return l.like.Name() }
func (l *later) Sheet(look frame.Look) sheet.Sheet           { return l.opened().Sheet(look) }
func (l *later) Do(e sheet.Event)                            { l.opened().Do(e) }
func (l *later) Touch(p frame.Pointer)                       { l.opened().Touch(p) }
func (l *later) Advance(now time.Time, b time.Duration) bool { return l.opened().Advance(now, b) }
func (l *later) Draw(f *frame.Frame)                         { l.opened().Draw(f) }
func (l *later) Follow(link Link) error                      { return l.opened().Follow(link) }

func (l *later) Keep() ([]byte, error) {
	if l.made == nil {
		return l.kept, nil
	}
	return l.made.Keep()
}

func (l *later) Restore(data []byte) error {
	if l.made == nil {
		l.kept = data
		return nil
	}
	return l.made.Restore(data)
}

func (l *later) Effects() []Effect {
	if l.made == nil {
		return nil
	}
	return l.made.Effects()
}
