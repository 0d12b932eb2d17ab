//go:build !js

package browsertest

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"quietpump/wasm/browsertest/trial"
	"quietpump/wasm/desk"
	"quietpump/wasm/serve/site"
)

var (
	shots = flag.String("shots", "", "folder to put pictures of every chapter into")
	pairs = flag.Int("pairs", 0, "how many pairs of page loads to compare")

	sizesAsked = flag.Bool("sizes", false, "tell how large the program is")
)

// patience is how long a test waits before it says what did not come. It decides
// nothing else.
const patience = 4 * time.Minute

// built is the site, compiled once for all tests.
var built = sync.OnceValues(func() (*site.Site, error) { return site.Build(context.Background(), site.Options{}) })

// trialSite has one of everything that a sheet can hold, and tells what was done
// with it.
var trialSite = sync.OnceValues(func() (*site.Site, error) {
	return site.Build(context.Background(), site.Options{
		Package:  "quietpump/wasm/browsertest/trialprogram",
		Chapters: trialChapters,
	})
})

func trialChapters() []desk.Chapter { return []desk.Chapter{trial.New("trial"), trial.New("other")} }

var begun bool

// chromium is the browser, started once.
var chromium = sync.OnceValues(func() (context.Context, error) {
	begun = true
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		return nil, errors.New("no Chromium was found")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("headless", "new"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("mute-audio", true), chromedp.Flag("hide-scrollbars", true),
		// As by itself where there is no graphics card, unless who packed it asks for it.
		chromedp.Flag("disable-gpu-rasterization", true))
	allocator, _ := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ := chromedp.NewContext(allocator)
	return ctx, chromedp.Do(ctx)
})

func TestMain(m *testing.M) {
	flag.Parse()
	code := m.Run()
	if !begun {
		os.Exit(code)
	}
	if ctx, err := chromium(); err == nil {
		_ = chromedp.Cancel(ctx)
	}
	os.Exit(code)
}

// A tab is a page of the demo, served from an address of its own, so that it shares
// nothing with the pages of other tests.
type tab struct {
	t      *testing.T
	ctx    context.Context
	server *httptest.Server

	mu       sync.Mutex
	problems []string // console errors, refused and failed requests, and what would leave the page
	console  []string
}

// opened starts a tab for the demo, without a page in it yet.
func opened(t *testing.T, wide, high int, density float64) *tab {
	t.Helper()
	return of(t, built, wide, high, density)
}

// trialTab starts a tab for the trial chapter.
func trialTab(t *testing.T, wide, high int, density float64) *tab {
	t.Helper()
	return of(t, trialSite, wide, high, density)
}

func of(t *testing.T, make func() (*site.Site, error), wide, high int, density float64) *tab {
	t.Helper()
	needed(t)
	s, err := make()
	require.NoError(t, err)
	return served(t, s.Handler(site.Headers("")), wide, high, density)
}

// needed skips a test, loudly, where there is no browser.
func needed(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() || os.Getenv("QUIETPUMP_BROWSER") == "none" {
		t.Skip("a browser takes long")
	}
	ctx, err := chromium()
	if err != nil {
		if os.Getenv("QUIETPUMP_BROWSER") == "must" {
			t.Fatal(err)
		}
		t.Skipf("THE DEMO WAS NOT TRIED IN A BROWSER: %v", err)
	}
	return ctx
}

// served starts a tab for what a handler serves.
func served(t *testing.T, h http.Handler, wide, high int, density float64) *tab {
	t.Helper()
	p := &tab{t: t, server: httptest.NewServer(h)}
	ctx, cancel := chromedp.NewContext(needed(t), chromedp.WithNewBrowserContext())
	most := 10 * time.Minute
	if *shots != "" { // many of one page
		most = time.Hour
	}
	ctx, late := context.WithTimeout(ctx, most)
	t.Cleanup(func() { late(); cancel(); p.server.Close() })
	p.ctx = ctx
	require.NoError(t, chromedp.Do(ctx))
	p.listen()
	// Pages that are tried side by side each believe to be the one looked at.
	_, err := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
	require.NoError(t, err)
	p.resize(wide, high, density)
	return p
}

func (p *tab) listen() {
	p.t.Helper()
	require.NoError(p.t, chromedp.Listen(p.ctx, func(ev any) {
		problem := ""
		switch ev := ev.(type) {
		case *runtime.EventConsoleAPICalled:
			var words []string
			for _, a := range ev.Args {
				words = append(words, string(a.Value)+a.Description)
			}
			line := fmt.Sprintf("%s: %s", ev.Type, strings.Join(words, " "))
			p.mu.Lock()
			p.console = append(p.console, line)
			p.mu.Unlock()
			if ev.Type == runtime.ConsoleAPICalledTypeError || ev.Type == runtime.ConsoleAPICalledTypeWarning {
				problem = line
			}
		case *runtime.EventExceptionThrown:
			problem = "exception: " + ev.ExceptionDetails.Text
			if ev.ExceptionDetails.Exception != nil {
				problem += " " + ev.ExceptionDetails.Exception.Description
			}
		case *log.EventEntryAdded:
			if ev.Entry.Level == log.EntryLevelError || ev.Entry.Source == log.EntrySourceSecurity {
				problem = "log: " + ev.Entry.Text + " " + ev.Entry.URL
			}
		case *network.EventRequestWillBeSent:
			problem = p.leaves(ev.Request)
		case *network.EventWebSocketCreated:
			problem = "leaves the page: " + ev.URL
		case *network.EventLoadingFailed:
			if !ev.Canceled {
				problem = "request: " + ev.ErrorText + " " + string(ev.BlockedReason)
			}
		}
		if problem != "" {
			p.mu.Lock()
			p.problems = append(p.problems, problem)
			p.mu.Unlock()
		}
	}))
}

// leaves says what of a request is more than asking the page's own server for a
// file; empty: nothing.
func (p *tab) leaves(r *network.Request) string {
	u, err := url.Parse(r.URL)
	switch {
	case err != nil:
		return "leaves the page: " + r.URL
	case u.Scheme == "blob" && strings.HasPrefix(u.Opaque, p.server.URL+"/"), u.Scheme == "data": // a file that is handed over, on the device itself
		return ""
	case u.Scheme+"://"+u.Host != p.server.URL:
		return "leaves for another place: " + r.URL
	case r.Method != "GET" || r.HasPostData:
		return "takes something along: " + r.Method + " " + r.URL
	case u.RawQuery != "" && u.Path != "/":
		return "takes something along: " + r.URL
	}
	return ""
}

func (p *tab) resize(wide, high int, density float64) {
	p.t.Helper()
	_, err := chromedp.Call(p.ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: int64(wide), Height: int64(high), DeviceScaleFactor: density,
	})
	require.NoError(p.t, err)
}

// media emulates how the reader wants to be shown things: "prefers-color-scheme",
// "dark", …
func (p *tab) media(pairs ...string) {
	p.t.Helper()
	var list []*emulation.MediaFeature
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, &emulation.MediaFeature{Name: pairs[i], Value: pairs[i+1]})
	}
	_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: list})
	require.NoError(p.t, err)
}

// visit goes to the page and waits until it can be played with.
func (p *tab) visit(query string) *tab {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Navigate(p.server.URL+"/"+query)))
	return p.ready()
}

func (p *tab) reload() *tab {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Reload()))
	return p.ready()
}

func (p *tab) ready() *tab {
	p.t.Helper()
	return p.until(`document.documentElement.dataset.ready === "1"`)
}

// until waits for something to be true in the page. A page that is being opened
// anew answers nothing for a while.
func (p *tab) until(js string) *tab {
	p.t.Helper()
	last := ""
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		ok, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("Boolean("+js+")"))
		if ok && err == nil {
			return p
		}
		if err != nil {
			last = err.Error()
			if p.ctx.Err() != nil {
				break
			}
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	require.Failf(p.t, "the page never came to it", "%s\n%s\n%s\n%s", js, last, strings.Join(p.problems, "\n"), strings.Join(p.console, "\n"))
	return p
}

// eval computes something in the page.
func eval[T any](p *tab, js string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](js, chromedp.EvalAwaitPromise))
	require.NoError(p.t, err, js)
	return v
}

// do runs something in the page.
func (p *tab) do(js string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](js)), js)
}

// The ways to press a thing: all three are tried on every chapter.
type way string

const (
	byMouse way = "mouse"
	byTouch way = "touch"
	byKeys  way = "keys"
)

// middle brings an element into view and says where it is. Nothing else may lie
// there: who presses a place must hit what stands at it.
func (p *tab) middle(js string) (x, y float64) {
	p.t.Helper()
	p.until(js)
	// It is pressed where it stays: a note that has just changed may move it once more.
	at := eval[[3]float64](p, `(async () => {
		for (let last = [0, 0, 0], tries = 0; ; tries++) {
			const e = `+js+`; e.scrollIntoView({block: "center", behavior: "instant"});
			const r = e.getBoundingClientRect(), x = r.left + r.width / 2, y = r.top + r.height / 2, hit = document.elementFromPoint(x, y);
			const now = [x, y, hit && (hit === e || e.contains(hit)) ? 1 : 0];
			if (tries === 20 || now.every((v, i) => v === last[i])) return now;
			last = now;
			await new Promise((done) => setTimeout(done, 160));
		}})()`)
	require.Equal(p.t, 1.0, at[2], "something lies over %s", js)
	return at[0], at[1]
}

// press presses the element that a piece of script finds.
func (p *tab) press(how way, js string) {
	p.t.Helper()
	switch how {
	case byMouse:
		x, y := p.middle(js)
		require.NoError(p.t, chromedp.Do(p.ctx, chromedp.MouseClickXY(x, y)))
	case byTouch:
		x, y := p.middle(js)
		p.touch(x, y)
	case byKeys:
		p.until(js)
		// Tab goes forward until it gets there: a stop that cannot be reached fails.
		for range 200 {
			if eval[bool](p, "document.activeElement === "+js) {
				require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent("\r")))
				return
			}
			require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent("\t")))
		}
		require.Fail(p.t, "the Tab key never gets to it", js)
	}
}

func (p *tab) touch(x, y float64) {
	p.t.Helper()
	_, err := chromedp.Call(p.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: []*input.TouchPoint{{X: x, Y: y}}})
	require.NoError(p.t, err)
	_, err = chromedp.Call(p.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}})
	require.NoError(p.t, err)
}

// touchable makes the page one of a phone.
func (p *tab) touchable() *tab {
	p.t.Helper()
	_, err := chromedp.Call(p.ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 5})
	require.NoError(p.t, err)
	return p
}

// button finds a button by what is written on it.
func button(text string) string {
	quoted, _ := json.Marshal(text)
	return `[...document.querySelectorAll("#note button")].find((e) => e.textContent === ` + string(quoted) + `)`
}

// says waits until the note has these words in it.
func (p *tab) says(text string) *tab {
	p.t.Helper()
	quoted, _ := json.Marshal(text)
	return p.until(`document.getElementById("note").textContent.replaceAll("\u00a0", " ").includes(` + string(quoted) + `)`)
}

// kept waits for what is on the device to say something, as script of kept.
func (p *tab) kept(js string) *tab {
	p.t.Helper()
	return p.until(`(() => { const kept = JSON.parse(localStorage.getItem("quietpump.kept") ?? "null"); return kept && (` + js + `); })()`)
}

// picture takes a picture of the page.
func (p *tab) picture() []byte {
	p.t.Helper()
	data, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	require.NoError(p.t, err)
	return data
}

// clean fails if anything was refused or complained about, left the page, or, at one
// of the sizes that people have, is too small to be read or pressed.
func (p *tab) clean() {
	p.t.Helper()
	at := eval[[2]int](p, `[innerWidth, innerHeight]`)
	for _, size := range sizes {
		if at == [2]int{size.wide, size.high} {
			require.Empty(p.t, eval[[]string](p, cramped))
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	require.Empty(p.t, p.problems)
}

// leave closes the page: one left open draws on, and slows the next.
func (p *tab) leave() {
	p.t.Helper()
	require.NoError(p.t, chromedp.Cancel(p.ctx))
}

// asleep stops the page as a phone does with one that is out of sight, and brings
// it back.
func (p *tab) asleep() {
	p.t.Helper()
	focused := func(on bool) {
		_, err := chromedp.Call(p.ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: on})
		require.NoError(p.t, err)
	}
	focused(false)
	for _, state := range []page.SetWebLifecycleStateState{page.SetWebLifecycleStateStateFrozen, page.SetWebLifecycleStateStateActive} {
		_, err := chromedp.Call(p.ctx, page.SetWebLifecycleState, page.SetWebLifecycleStateParams{State: state})
		require.NoError(p.t, err)
	}
	require.Equal(p.t, "hidden", eval[string](p, `document.visibilityState`))
	focused(true)
	p.until(`document.visibilityState === "visible"`)
}
