// Package site makes the demo's web site: it compiles the program for the browser,
// draws the still that stands there while it loads, and puts both with the page
// under names that change with what is in them.
//
//	s, err := site.Build(ctx, site.Options{})
//	err = s.Write("public", site.Headers(""))   // for any web server
//	http.Handle("/", s.Handler(site.Headers("")))
package site

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"quietpump/wasm/desk"
	"quietpump/wasm/desk/house"
	"quietpump/wasm/page"
)

// A File is one of a site's files, as it is served.
type File struct {
	Data  []byte
	Type  string // of its content, as the header Content-Type has it
	Sum   string // of Data, SHA-256, hexadecimal
	Lasts bool   // its name changes with what is in it
}

// A Site is what Build makes: files by name, "index.html" the one shown first. It may be
// served to many at once, and is not to be changed meanwhile.
type Site struct {
	Files map[string]File
	Dir   string // folder of the files whose names change, without slashes

	packed sync.Map // name to func() []byte
}

// Options say how a site is built. The zero Options compile the program of this
// module.
type Options struct {
	Program []byte // the program for the browser; nil: it is compiled
	Runtime []byte // wasm_exec.js of the compiler that made it; nil: that of the go command
	// Package is what is compiled, and Chapters make what it shows, anew at each call.
	// An empty Package is the demo, with its own chapters; beside another, Chapters is
	// not nil.
	Package  string
	Chapters func() []desk.Chapter
}

// Build makes the site; compiling takes about a minute. The error is that of the go
// command, which has to be called within the module, or of a chapter that shows nothing.
func Build(ctx context.Context, o Options) (*Site, error) {
	var err error
	if o.Package == "" {
		o.Package, o.Chapters = program, house.Chapters
	}
	if o.Program == nil {
		if o.Program, err = compile(ctx, o.Package); err != nil {
			return nil, err
		}
	}
	if o.Runtime == nil {
		if o.Runtime, err = runtime(ctx); err != nil {
			return nil, err
		}
	}
	drawn, first, err := stills(o.Chapters)
	if err != nil {
		return nil, err
	}
	named := map[string][]byte{"program.wasm": o.Program, "wasm_exec.js": o.Runtime, "regular.ttf": goregular.TTF, "bold.ttf": gobold.TTF}
	maps.Copy(named, drawn)
	for _, name := range []string{"style.css", "start.js", "compile.js", "loader.js", "sheet.js", "files.js", "input.js"} {
		if named[name], err = page.Files.ReadFile(name); err != nil {
			return nil, err
		}
	}
	s := &Site{Files: map[string]File{}, Dir: sum(named)}
	list := []string{"./"}
	for _, name := range slices.Sorted(maps.Keys(named)) {
		s.put(s.Dir+"/"+name, named[name], true)
		list = append(list, s.Dir+"/"+name)
	}
	if err := s.index(len(o.Program), first, o.Chapters()); err != nil {
		return nil, err
	}
	return s, s.worker(list)
}

// index fills in the page.
func (s *Site) index(bytesOfProgram int, first greeting, chapters []desk.Chapter) error {
	text, err := page.Files.ReadFile("index.html")
	if err != nil {
		return err
	}
	t, err := template.New("index.html").Parse(string(text))
	if err != nil {
		return fmt.Errorf("site: the page: %w", err)
	}
	type chapter struct{ Key, Name string }
	data := struct {
		Dir, Policy, Alt string
		First            template.JS // JSON of the program's own, which writes < as an escape
		Bytes            int
		Chapters         []chapter
	}{Dir: s.Dir, Policy: within(""), Alt: first.words, First: template.JS(first.sheet), Bytes: bytesOfProgram}
	for _, c := range chapters {
		data.Chapters = append(data.Chapters, chapter{c.Key(), c.Name()})
	}
	var b bytes.Buffer
	if err := t.Execute(&b, data); err != nil {
		return fmt.Errorf("site: the page: %w", err)
	}
	s.put("index.html", b.Bytes(), false)
	return nil
}

// worker tells the service worker what there is to keep.
func (s *Site) worker(list []string) error {
	text, err := page.Files.ReadFile("worker.js")
	if err != nil {
		return err
	}
	files, err := json.Marshal(list)
	if err != nil {
		return err
	}
	// The index is kept with the rest, so its hash counts as well.
	version := "quietpump-" + s.Dir + "-" + s.Files["index.html"].Sum[:8]
	out := strings.NewReplacer(`"VERSION"`, `"`+version+`"`, `["FILES"]`, string(files)).Replace(string(text))
	s.put("worker.js", []byte(out), false)
	return nil
}

var types = map[string]string{
	".html": "text/html; charset=utf-8",
	".css":  "text/css; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".svg":  "image/svg+xml",
	".ttf":  "font/ttf",
	".wasm": "application/wasm",
}

func (s *Site) put(name string, data []byte, lasts bool) {
	h := sha256.Sum256(data)
	s.Files[name] = File{Data: data, Type: types[path.Ext(name)], Sum: hex.EncodeToString(h[:]), Lasts: lasts}
}

// sum is the hash of all files together, of which the first 64 bits are plenty.
func sum(named map[string][]byte) string {
	h := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(named)) {
		fmt.Fprintf(h, "%s %d\n", name, len(named[name]))
		h.Write(named[name])
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}
