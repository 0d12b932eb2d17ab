//go:build !js

package browsertest

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"quietpump/wasm/serve/site"
)

// emptyPage is the page of a program that does nothing: no still, no bar, no note.
const emptyPage = `<!doctype html><html><head><meta charset="utf-8"><title>empty</title><script src="/wasm_exec.js"></script><script src="/start.js"></script></head><body></body></html>`

const emptyStart = `const go = new Go();
console.log = (line) => { if (line === "qp:ready") requestAnimationFrame(() => requestAnimationFrame(() => { document.documentElement.dataset.ready = "1"; document.documentElement.dataset.at = performance.now(); })); };
WebAssembly.instantiateStreaming(fetch("/program.wasm"), go.importObject).then(({ instance }) => go.run(instance));`

// settling is how long a new window of the browser is left alone before a page is loaded
// into it: it begins with pages of the browser's own, which take some two seconds of
// processor time, as no reader's window does that is open already.
const settling = 4 * time.Second

// A start is how long a page takes from navigation until it can be played with, and what
// all the browser's processes take of the processor meanwhile, s.
type start struct{ clock, processor float64 }

// TestPlayable compares the time from navigation to a page that can be played with
// against that of an empty page of the window library, in pairs that alternate, each
// load with nothing cached. It says what it finds; the bar is DESIGN's: 1.3 times
// the empty page, by the medians.
func TestPlayable(t *testing.T) {
	if *pairs == 0 {
		t.Skip("page loads are compared with -pairs 5")
	}
	needed(t)
	demo, err := built()
	require.NoError(t, err)
	least, err := site.Build(context.Background(), site.Options{Package: "quietpump/wasm/browsertest/emptyprogram", Chapters: trialChapters})
	require.NoError(t, err)
	// The same server, the same packing: only what is in the page differs.
	files := map[string]site.File{
		"index.html":   {Data: []byte(emptyPage), Type: "text/html; charset=utf-8", Sum: least.Files["index.html"].Sum},
		"start.js":     {Data: []byte(emptyStart), Type: "text/javascript", Sum: least.Files["worker.js"].Sum},
		"wasm_exec.js": least.Files[least.Dir+"/wasm_exec.js"],
		"program.wasm": least.Files[least.Dir+"/program.wasm"],
	}
	bare := (&site.Site{Files: files}).Handler(nil)
	full := demo.Handler(site.Headers(""))
	load := func(h http.Handler) start {
		p := served(t, h, 1440, 900, 1)
		time.Sleep(settling)
		browser := chromedp.FromContext(p.ctx).Browser.Process().Pid
		before := processor(browser)
		require.NoError(t, chromedp.Do(p.ctx, chromedp.Navigate(p.server.URL)))
		p.until(`document.documentElement.dataset.at`)
		took := processor(browser) - before
		at := eval[float64](p, `Number(document.documentElement.dataset.at)`)
		require.NoError(t, chromedp.Cancel(p.ctx))
		return start{at / 1000, took}
	}
	load(bare) // packs the program, and warms the browser
	load(full)
	var ours, theirs []start
	for range *pairs {
		theirs = append(theirs, load(bare))
		ours = append(ours, load(full))
		a, b := theirs[len(theirs)-1], ours[len(ours)-1]
		t.Logf("empty page %.2f s, %.2f of the processor; demo %.2f s, %.2f", a.clock, a.processor, b.clock, b.processor)
	}
	tell := func(what string, of func(start) float64) {
		median := func(starts []start) float64 {
			slices.SortFunc(starts, func(a, b start) int { return cmp.Compare(of(a), of(b)) })
			return of(starts[len(starts)/2])
		}
		a, b := median(theirs), median(ours)
		t.Logf("by the %s, medians of %d pairs: empty page %.2f s, demo %.2f s, %.2f times", what, *pairs, a, b, b/a)
	}
	tell("clock", func(s start) float64 { return s.clock })
	tell("processor", func(s start) float64 { return s.processor })
}

// TestSize says how large the program is.
func TestSize(t *testing.T) {
	t.Parallel()
	if !*sizesAsked {
		t.Skip("sizes are told with -sizes; brotli takes a minute")
	}
	s, err := built()
	require.NoError(t, err)
	program := s.Files[s.Dir+"/program.wasm"].Data
	packed := len(site.Brotli(program))
	t.Logf("program: %d bytes, %d by gzip, %d by brotli", len(program), len(site.Gzip(program)), packed)
	const most = 3_400_000
	require.LessOrEqual(t, packed, most, "the program has grown")
}
