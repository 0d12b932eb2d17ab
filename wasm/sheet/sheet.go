// Package sheet holds the words beside the drawing as data: the margin note of a
// chapter, what can be pressed or typed in it, and what the reader did. The page
// turns a [Sheet] into ordinary HTML, so that type is crisp, screen readers and
// keyboards work, and fields bring up the phone's own keyboard; the program
// never touches the page.
//
//	s := sheet.Sheet{Title: "Every tap is shut"}
//	s.Add(sheet.Words{Text: "Tap when the pump starts."}, sheet.Tap{Do: "start", Text: "TAP WHEN IT STARTS"})
//	line, err := s.Line()
package sheet

import (
	"encoding/json"
	"time"
)

// A Sheet is one margin note, from the top down.
type Sheet struct {
	Chapter string  // key of the chapter it belongs to
	Page    string  // which of the chapter's notes it is: another one is read from its top
	Title   string  // what it is about, one line
	Blocks  []Block // in reading order
	Next    *Button // the one next action, the only filled button; nil: none
	Say     string  // one sentence for screen readers about what has just happened; empty: nothing new
}

// Add puts blocks below what is there.
func (s *Sheet) Add(b ...Block) { s.Blocks = append(s.Blocks, b...) }

// Line is the sheet as one line of JSON, its blocks each with its kind. Equal
// sheets give equal lines, so an unchanged sheet need not be sent again. The error is of
// what JSON has no word for, such as a Slide at NaN.
func (s *Sheet) Line() (string, error) {
	type tagged struct {
		Kind  string `json:"kind"`
		Block Block  `json:"block"`
	}
	out := struct {
		Chapter string   `json:"chapter"`
		Page    string   `json:"page,omitempty"`
		Title   string   `json:"title"`
		Blocks  []tagged `json:"blocks"`
		Next    *Button  `json:"next,omitempty"`
		Say     string   `json:"say,omitempty"`
	}{s.Chapter, s.Page, s.Title, make([]tagged, len(s.Blocks)), s.Next, s.Say}
	for i, b := range s.Blocks {
		out.Blocks[i] = tagged{b.kind(), b}
	}
	text, err := json.Marshal(out)
	return string(text), err
}

// A Block is a piece of a sheet: [Words], [Button], [Buttons], [Tap], [Choice],
// [Field], [Slide], [Open], [Countdown], [Picture], [Rows].
type Block interface{ kind() string }

// Words are a paragraph.
type Words struct {
	Text  string `json:"text"`
	Style Style  `json:"style,omitempty"`
}

// A Style says what a paragraph is. The zero Style is plain words.
type Style string

// The styles.
const (
	Plain   Style = ""
	Head    Style = "head"    // a heading within the note
	Small   Style = "small"   // may recede
	Caution Style = "caution" // beside the step it belongs to
	Finding Style = "finding" // the answer
	Item    Style = "item"    // one of a list
)

// A Button does one thing.
type Button struct {
	Do   string `json:"do"`            // what the event is called
	Arg  string `json:"arg,omitempty"` // given back with the event
	Text string `json:"text"`
	Off  bool   `json:"off,omitempty"` // shown, but cannot be pressed; Text or the words beside it say why
}

// Buttons stand in a row that wraps.
type Buttons struct {
	List []Button `json:"list"`
}

// A Tap is the big stopwatch button, half a phone's screen high. Its events carry
// the clock time of the press, and the page stores each at once.
type Tap struct {
	Do    string `json:"do"`
	Text  string `json:"text"`
	Small bool   `json:"small,omitempty"` // no larger than a finger needs: the picture is watched meanwhile
}

// A Choice is a question with answers to press.
type Choice struct {
	Do      string   `json:"do"`
	Ask     string   `json:"ask"`
	Answers []Answer `json:"answers"`
	Chosen  string   `json:"chosen,omitempty"`  // the Arg of the answer given; empty: none yet
	Picture string   `json:"picture,omitempty"` // SVG of what is asked after
}

// An Answer is one of a choice's.
type Answer struct {
	Arg  string `json:"arg"`
	Text string `json:"text"`
}

// A Field takes a line of text. It is sent when the reader leaves it.
type Field struct {
	Do      string `json:"do"`
	Ask     string `json:"ask"`
	Value   string `json:"value"`
	Hint    string `json:"hint,omitempty"`    // an example, shown while it is empty
	Problem string `json:"problem,omitempty"` // what was not understood, and what to type
}

// A Slide sets a number by hand, between 0 and 1; what it means is in Shows.
type Slide struct {
	Do    string  `json:"do"`
	Ask   string  `json:"ask"`
	At    float64 `json:"at"`
	Shows string  `json:"shows"` // the value in words, with its unit
}

// Open asks the reader for a file; its event's Arg is the name it can be read
// under.
type Open struct {
	Do   string `json:"do"`
	Text string `json:"text"`
}

// A Countdown shows the time left to an instant, by the clock and not by ticks.
type Countdown struct {
	Until time.Time `json:"until"`
	Text  string    `json:"text"` // what is being waited for
	Done  string    `json:"done"` // shown once it is over
}

// A Picture is an SVG of the project's own, its words within it.
type Picture struct {
	SVG string `json:"svg"`
}

// Rows are a small table, its first row the headings.
type Rows struct {
	Cells [][]string `json:"cells"`
}

func (Words) kind() string     { return "words" }
func (Button) kind() string    { return "button" }
func (Buttons) kind() string   { return "buttons" }
func (Tap) kind() string       { return "tap" }
func (Choice) kind() string    { return "choice" }
func (Field) kind() string     { return "field" }
func (Slide) kind() string     { return "slide" }
func (Open) kind() string      { return "open" }
func (Countdown) kind() string { return "countdown" }
func (Picture) kind() string   { return "picture" }
func (Rows) kind() string      { return "rows" }

// An Event is what the reader did with a sheet.
type Event struct {
	Do  string    // as the block says
	Arg string    // the answer's, the button's, the text typed, the slide's place, the file's name
	At  time.Time // when, by the reader's clock
}
