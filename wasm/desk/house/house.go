// Package house puts the chapters of the demo together.
package house

import (
	"quietpump/wasm/chapters/change"
	"quietpump/wasm/chapters/find"
	"quietpump/wasm/chapters/watch"
	"quietpump/wasm/chapters/yours"
	"quietpump/wasm/desk"
)

// Chapters are the demo's, in the order they are read, each made when it is first
// opened. They stand on rigs that the program carries, so that one which cannot begin
// is a slip of the program's own.
func Chapters() []desk.Chapter {
	return []desk.Chapter{
		desk.Later(&watch.Chapter{}, func() desk.Chapter { return must(watch.New()) }),
		desk.Later(&change.Chapter{}, func() desk.Chapter { return must(change.New()) }),
		desk.Later(&find.Chapter{}, func() desk.Chapter { return must(find.New()) }),
		desk.Later(&yours.Chapter{}, func() desk.Chapter { return must(yours.New()) }),
	}
}

func must[C desk.Chapter](c C, err error) desk.Chapter {
	if err != nil {
		panic(err)
	}
	return c
}
