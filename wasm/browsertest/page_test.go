//go:build !js

package browsertest

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/sim/chart"
	"quietpump/wasm/serve/site"
)

// inked counts the pixels of a part of a picture that are not paper.
func inked(t *testing.T, data []byte, theme chart.Theme, part image.Rectangle) int {
	t.Helper()
	picture, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	paper := chart.Paper.Colour(theme)
	n := 0
	for y := part.Min.Y; y < part.Max.Y; y++ {
		for x := part.Min.X; x < part.Max.X; x++ {
			r, g, b, _ := picture.At(x, y).RGBA()
			if uint8(r>>8) != paper.R || uint8(g>>8) != paper.G || uint8(b>>8) != paper.B {
				n++
			}
		}
	}
	return n
}

func TestLoadsUnderTheStrictPolicy(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1).visit("")
	assert.Equal(t, "A trial of trial", eval[string](p, `document.getElementById("title").textContent`))
	assert.Greater(t, inked(t, p.picture(), chart.Light, image.Rect(300, 0, 800, 500)), 1000, "the drawing is on the canvas")
	assert.True(t, eval[bool](p, `document.getElementById("loading").hidden && document.getElementById("still").hidden`))
	p.until(`document.documentElement.dataset.offline === "1"`)
	p.clean()
	// That the policy is in force: what it forbids is refused.
	refused := eval[string](p, `(() => { try { document.body.insertAdjacentHTML("beforeend", "<b>x</b>"); return "taken"; } catch (e) { return e.name; } })()`)
	assert.Equal(t, "TypeError", refused)
}

// A gate holds the second half of the program back until it is opened.
func gated(t *testing.T, s *site.Site) (h http.Handler, open func()) {
	t.Helper()
	gate := make(chan struct{})
	plain := s.Handler(site.Headers(""))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.HasSuffix(r.URL.Path, "program.wasm") {
			plain.ServeHTTP(w, r)
			return
		}
		kept := httptest.NewRecorder()
		r.Header.Del("Accept-Encoding")
		plain.ServeHTTP(kept, r)
		for key, value := range kept.Header() {
			w.Header()[key] = value
		}
		data := kept.Body.Bytes()
		_, _ = w.Write(data[:len(data)/2])
		w.(http.Flusher).Flush()
		select {
		case <-gate:
		case <-r.Context().Done(): // the page is gone
			return
		}
		_, _ = w.Write(data[len(data)/2:])
	}), func() { close(gate) }
}

func TestStillAndProgressStandThereFirst(t *testing.T) {
	t.Parallel()
	needed(t)
	s, err := trialSite()
	require.NoError(t, err)
	h, open := gated(t, s)
	p := served(t, h, 800, 500, 1)
	require.NoError(t, chromedp.Do(p.ctx, chromedp.Navigate(p.server.URL)))
	// Half of the bytes have come, and half is what it says.
	p.until(`document.getElementById("loaded").position > 0.45`)
	assert.InDelta(t, 0.5, eval[float64](p, `document.getElementById("loaded").position`), 0.05)
	assert.Regexp(t, `^(4[5-9]|5[0-5]) %$`, eval[string](p, `document.getElementById("share").textContent`))
	p.until(`document.querySelector("#still img").naturalWidth > 0`)
	assert.Empty(t, eval[string](p, `document.documentElement.dataset.ready ?? ""`))
	assert.Greater(t, inked(t, p.picture(), chart.Light, image.Rect(300, 0, 800, 500)), 1000, "the still is there before the program")
	open()
	p.ready().clean()
}

// Where the program does not come the page says so, and the note stays to be read.
func TestAProgramThatDoesNotCome(t *testing.T) {
	t.Parallel()
	needed(t)
	s, err := trialSite()
	require.NoError(t, err)
	plain := s.Handler(site.Headers(""))
	for missing, said := range map[string]string{
		"/program.wasm": "The program stopped: the program did not come: 404.",
		"/compile.js":   "The program stopped: its compiler did not come.",
	} {
		p := served(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if strings.HasSuffix(r.URL.Path, missing) {
				http.NotFound(w, r)
				return
			}
			plain.ServeHTTP(w, r)
		}), 400, 300, 1)
		require.NoError(t, chromedp.Do(p.ctx, chromedp.Navigate(p.server.URL)))
		p.until(`document.getElementById("loading").textContent.startsWith("The program stopped")`)
		assert.Contains(t, eval[string](p, `document.getElementById("loading").textContent`), said)
		assert.Equal(t, "A trial of trial", eval[string](p, `document.getElementById("title").textContent`))
		p.leave()
	}
}

// Nothing that is done here leaves the device: what is kept stays in the browser, and
// the page's policy refuses the ways that would lead elsewhere. That all that other
// tests do asks for nothing but the page's own files is seen to by leaves.
func TestNothingLeavesThePage(t *testing.T) {
	t.Parallel()
	var asked atomic.Int32
	elsewhere := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked.Add(1)
		w.Header().Set("Access-Control-Allow-Origin", "*")
	}))
	defer elsewhere.Close()
	p := trialTab(t, 400, 300, 1).visit("")
	p.clean()
	for _, way := range []string{
		`fetch(there)`,
		`fetch(there, {method: "POST", mode: "no-cors", body: "a job card"})`,
		`new Promise((done, fail) => { const s = new WebSocket(there.replace("http", "ws")); s.onopen = done; s.onerror = fail; })`,
		`new Promise((done, fail) => { const i = new Image(); i.onload = done; i.onerror = fail; i.src = there + "/?card"; })`,
		`new Promise((done, fail) => { const i = new XMLHttpRequest(); i.onload = done; i.onerror = fail; i.open("GET", there); i.send(); })`,
		`new Promise((done, fail) => { const s = new EventSource(there); s.onopen = done; s.onerror = fail; })`,
		`(async () => { navigator.sendBeacon(there, "a job card"); await new Promise((done) => setTimeout(done, 300)); throw 0; })()`,
		`(async () => { const f = document.createElement("form"); f.action = there; f.method = "post"; document.body.append(f); f.submit(); await new Promise((done) => setTimeout(done, 300)); throw 0; })()`,
		`import(there + "/x.js")`,
		`(async () => { new Worker(there + "/x.js"); })()`,
	} {
		refused := eval[bool](p, `(async () => { const there = "`+elsewhere.URL+`"; try { await `+way+`; return false; } catch { return true; } })()`)
		assert.True(t, refused, way)
	}
	assert.Zero(t, asked.Load(), "another server was asked for something")
	assert.Equal(t, "A trial of trial", eval[string](p, `document.getElementById("title").textContent`), "the page is still there")
}

// The drawing smooths its own edges, so the canvas is not smoothed a second time,
// which would have the card draw each of its points four times over. The window
// library asks for that: where it no longer does, what start.js does about it can go.
func TestTheCanvasIsNotSmoothedTwice(t *testing.T) {
	t.Parallel()
	const samples = `(() => { const gl = document.querySelector("canvas").getContext("webgl2"); return gl.getParameter(gl.SAMPLES); })()`
	p := trialTab(t, 400, 300, 1).visit("")
	assert.Equal(t, 0, eval[int](p, samples))
	assert.Equal(t, 1, eval[int](p, `document.querySelectorAll("canvas").length`))
	assert.False(t, eval[bool](p, `Object.hasOwn(document, "createElement")`), "what was put in its way is gone")
	p.clean()
	p.leave()

	s, err := trialSite()
	require.NoError(t, err)
	plain := s.Handler(site.Headers(""))
	p = served(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.HasSuffix(r.URL.Path, "/start.js") {
			plain.ServeHTTP(w, r)
			return
		}
		text := string(s.Files[s.Dir+"/start.js"].Data)
		cut := strings.Index(text, "	// While that goes on")
		w.Header().Set("Content-Type", "text/javascript")
		_, _ = w.Write([]byte(text[:max(cut, 0)] + "}"))
	}), 400, 300, 1).visit("")
	assert.Greater(t, eval[int](p, samples), 0)
}

func TestOffline(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1).visit("").until(`document.documentElement.dataset.offline === "1"`)
	p.press(byMouse, button("Go on"))
	p.says("Pressed 1 times").kept(`kept.kept.trial.Pressed === 1`)
	p.server.CloseClientConnections()
	p.server.Close()
	p.reload().says("Pressed 1 times")
	p.press(byMouse, button("Go on"))
	p.says("Pressed 2 times")
	// A link is answered too.
	require.NoError(t, chromedp.Do(p.ctx, chromedp.Navigate(p.server.URL+"/?chapter=other")))
	p.ready().says("A trial of other")
}

func TestPressesByMouseTouchAndKeys(t *testing.T) {
	t.Parallel()
	for _, how := range []way{byMouse, byTouch, byKeys} {
		t.Run(string(how), func(t *testing.T) {
			p := trialTab(t, 390, 844, 1).touchable().visit("")
			p.press(how, button("Go on"))
			p.says("Pressed 1 times")
			p.press(how, button("off"))
			p.says("hose off")
			p.until(button("off") + `.getAttribute("aria-pressed") === "true"`)
			before := eval[float64](p, "Date.now()")
			p.press(how, button("TAP WHEN IT STARTS"))
			p.says("1 presses").kept(`kept.kept.trial.Presses.length === 1`)
			at := eval[float64](p, `JSON.parse(localStorage["quietpump.kept"]).kept.trial.Presses[0]`)
			assert.True(t, at >= before && at <= eval[float64](p, "Date.now()"), "a press has the clock's time")
			p.press(how, `document.querySelector("[data-chapter=other]")`)
			p.says("A trial of other")
			p.until(`location.search === "?chapter=other"`)
			p.press(how, button("Not now"))
			p.clean()
		})
	}
}

func TestPressesOutliveAFrozenAndAClosedTab(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 390, 844, 1).visit("")
	tap := button("TAP WHEN IT STARTS")
	p.press(byMouse, tap)
	p.says("1 presses")
	p.asleep()
	p.press(byMouse, tap)
	p.says("2 presses")
	// A press just before the tab is closed: the program has no time to keep it.
	eval[bool](p, `(() => { `+tap+`.dispatchEvent(new PointerEvent("pointerdown", {isPrimary: true, button: 0, bubbles: true})); location.reload(); return true; })()`)
	p.until(`document.getElementById("note").textContent.includes("TAP")`)
	p.ready().says("3 presses").kept(`kept.kept.trial.Presses.length === 3`)
	times := eval[[]float64](p, `JSON.parse(localStorage["quietpump.kept"]).kept.trial.Presses`)
	assert.IsNonDecreasing(t, times)
	p.reload().says("3 presses")
	p.clean()
}

// The stopwatch works from the moment the page is on the screen, whatever the
// program's download takes.
func TestStopwatchDoesNotWaitForTheProgram(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 390, 844, 1).visit("")
	p.press(byMouse, button("TAP WHEN IT STARTS"))
	p.says("1 presses").kept(`kept.kept.trial.Presses.length === 1`)
	s, err := trialSite()
	require.NoError(t, err)
	h, open := gated(t, s)
	p.server.Config.Handler = h
	// Without the copies of the program that the worker and the browser have.
	_, err = chromedp.Call(p.ctx, network.SetCacheDisabled, network.SetCacheDisabledParams{CacheDisabled: true})
	require.NoError(t, err)
	eval[bool](p, `(async () => { for (const r of await navigator.serviceWorker.getRegistrations()) await r.unregister(); for (const k of await caches.keys()) await caches.delete(k); return true; })()`)
	require.NoError(t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](`location.reload()`)))
	p.until(`document.readyState === "complete" && !document.documentElement.dataset.ready && !document.getElementById("loading").hidden`)
	p.press(byMouse, button("TAP WHEN IT STARTS"))
	p.until(`JSON.parse(localStorage["quietpump.presses"]).length === 1`)
	open()
	p.ready().says("2 presses").kept(`kept.kept.trial.Presses.length === 2`)
}

func TestTheTabKeyLeavesTheCanvas(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1).visit("")
	require.NoError(t, chromedp.Do(p.ctx, chromedp.MouseClickXY(600, 300), chromedp.KeyEvent("\t")))
	assert.Contains(t, []string{"A", "BUTTON", "INPUT"}, eval[string](p, `document.activeElement.tagName`))
	// Even with the focus on it no key is cancelled: reload, find and zoom work.
	for _, key := range []string{"Tab", "F5", "r", "+", " "} {
		quoted, _ := json.Marshal(key)
		cancelled := eval[bool](p, `(() => { const c = document.querySelector("canvas"); c.focus(); return !c.dispatchEvent(new KeyboardEvent("keydown", {key: `+string(quoted)+`, code: `+string(quoted)+`, ctrlKey: true, bubbles: true, cancelable: true})); })()`)
		assert.False(t, cancelled, key)
	}
	assert.Equal(t, "-1", eval[string](p, `document.querySelector("canvas").getAttribute("tabindex")`))
	assert.Equal(t, "img", eval[string](p, `document.querySelector("canvas").getAttribute("role")`))
	p.clean()
}

func TestACancelledTouchIsGone(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 390, 844, 1).touchable().visit("")
	send := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		if points == nil {
			points = []*input.TouchPoint{}
		}
		_, err := chromedp.Call(p.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
		require.NoError(t, err)
	}
	send(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: 100, Y: 50})
	p.says("down true up false at 100, 50")
	send(input.DispatchTouchEventTypeTouchCancel)
	p.says("down false up true at -1, -1")
	p.touch(200, 60) // and the next tap is heard
	p.says("down true up false at 200, 60").says("down false up true at 200, 60")
}

// Press and release reach the program however few frames a second it draws.
func TestNoPressOnTheCanvasIsLost(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1).visit("")
	for i := range 10 {
		require.NoError(t, chromedp.Do(p.ctx, chromedp.MouseClickXY(500+float64(i), 300)))
	}
	p.until(`[...document.querySelectorAll("#blocks .item")].filter((e) => e.textContent.startsWith("down true")).length === 10`)
}

func TestAnotherPixelRatioOpensThePageAnew(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 400, 300, 1).visit("")
	p.press(byMouse, button("Go on"))
	p.says("Pressed 1 times").kept(`kept.kept.trial.Pressed === 1`)
	p.do(`window.before = true`)
	p.resize(320, 240, 2) // as a zoom does
	p.until(`!window.before`).ready().says("Pressed 1 times")
	assert.Equal(t, 640, eval[int](p, `document.querySelector("canvas").width`))
}

func TestALostContextOpensThePageAnew(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 400, 300, 1).visit("")
	p.press(byMouse, button("Go on"))
	p.says("Pressed 1 times").kept(`kept.kept.trial.Pressed === 1`)
	p.do(`window.before = true; document.querySelector("canvas").getContext("webgl2").getExtension("WEBGL_lose_context").loseContext()`)
	p.until(`!window.before`).ready().says("Pressed 1 times")
	assert.Greater(t, inked(t, p.picture(), chart.Light, image.Rect(300, 0, 400, 300)), 50)
}

func TestFocusScrollAndHalfTypedWordsStay(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 390, 844, 1).visit("")
	p.do(`document.querySelector(".field input").focus()`)
	require.NoError(t, chromedp.Do(p.ctx, chromedp.KeyEvent("Old B")))
	p.do(`window.field = document.activeElement; window.scrolled = document.getElementById("note").scrollTop; fieldPress()
		function fieldPress() { document.querySelector("#next button").click(); }`)
	p.says("Pressed 1 times")
	assert.True(t, eval[bool](p, `document.activeElement === window.field && window.field.value === "Old B" && document.getElementById("note").scrollTop === window.scrolled && scrolled > 0`))
	require.NoError(t, chromedp.Do(p.ctx, chromedp.KeyEvent("ess"), chromedp.KeyEvent("\t")))
	p.says(`name "Old Bess"`)
	// A slide by keys.
	p.do(`document.querySelector(".slide input").focus()`)
	require.NoError(t, chromedp.Do(p.ctx, chromedp.KeyEvent(kb.ArrowRight)))
	p.says("slid to 0.02")
	assert.Equal(t, "12 ×", eval[string](p, `document.activeElement.getAttribute("aria-valuetext")`))
	// When what had the focus is gone, reading goes on from the title.
	p.press(byMouse, `document.querySelector("[data-chapter=other]")`)
	p.says("A trial of other").until(`document.activeElement.id === "title"`)
	p.clean()
}

func TestFilesComeInByChoiceAndByDrop(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1).visit("")
	dir := t.TempDir()
	chosen, dropped := filepath.Join(dir, "my coach.rig.toml"), filepath.Join(dir, "dropped.card.toml")
	require.NoError(t, os.WriteFile(chosen, []byte("chosen: 2.5°é水"), 0o600))
	require.NoError(t, os.WriteFile(dropped, []byte(strings.Repeat("dropped ", 3000)), 0o600))
	require.NoError(t, chromedp.Do(p.ctx, chromedp.SetUploadFiles(chromedp.CSS(".open input"), []string{chosen})))
	p.says("/in/my-coach.rig.toml: chosen: 2.5°é水")
	for _, at := range [][2]float64{{600, 300}, {100, 200}} { // on the canvas, on the note
		for _, kind := range []input.DispatchDragEventType{input.DispatchDragEventTypeDragEnter, input.DispatchDragEventTypeDragOver, input.DispatchDragEventTypeDrop} {
			_, err := chromedp.Call(p.ctx, input.DispatchDragEvent, input.DispatchDragEventParams{Type: kind, X: at[0], Y: at[1],
				Data: &input.DragData{Items: []*input.DragDataItem{}, Files: []string{dropped}, DragOperationsMask: 1}})
			require.NoError(t, err)
		}
		p.says("/in/dropped.card.toml: dropped dropped")
	}
	assert.Equal(t, "A trial of trial", eval[string](p, `document.getElementById("title").textContent`), "the browser did not open the file itself")
	large := filepath.Join(dir, "large.bin")
	require.NoError(t, os.WriteFile(large, make([]byte, 5<<20), 0o600))
	require.NoError(t, chromedp.Do(p.ctx, chromedp.SetUploadFiles(chromedp.CSS(".open input"), []string{large})))
	p.until(`document.getElementById("said").textContent.includes("larger than 4 MB")`)
	p.clean()
}

func TestSaveCopyShareAndPrint(t *testing.T) {
	p := trialTab(t, 800, 500, 1)
	dir := t.TempDir()
	_, err := chromedp.CallBrowser(p.ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir, BrowserContextID: chromedp.FromContext(p.ctx).BrowserContextID, EventsEnabled: new(true)})
	require.NoError(t, err)
	for _, name := range []string{"clipboard-read", "clipboard-write"} {
		_, err = chromedp.CallBrowser(p.ctx, browser.SetPermission, browser.SetPermissionParams{
			Permission: &browser.PermissionDescriptor{Name: name}, Setting: browser.PermissionSettingGranted, BrowserContextID: chromedp.FromContext(p.ctx).BrowserContextID})
		require.NoError(t, err)
	}
	p.visit("")
	p.press(byMouse, button("Save"))
	p.until(`document.getElementById("said").textContent === "Saved as trial.txt."`)
	assert.Equal(t, "2.5°é水", waitFor(t, filepath.Join(dir, "trial.txt")))

	p.press(byMouse, button("Copy"))
	p.until(`document.getElementById("said").textContent === "Copied."`)
	assert.Equal(t, "words to hand on", eval[string](p, `navigator.clipboard.readText()`))

	p.do(`navigator.share = async (what) => { window.shared = what.text; }`)
	p.press(byMouse, button("Share"))
	p.until(`window.shared === "words to hand on"`)

	p.do(`window.print = () => { window.papers = (window.papers ?? 0) + 1; }`)
	p.press(byMouse, button("Print"))
	p.until(`window.papers === 1`)
	assert.Equal(t, "What was found", eval[string](p, `document.querySelector("#printed h1").textContent`))
	// Words and pictures were taken over, and nothing that runs or paints itself.
	assert.Equal(t, 0, eval[int](p, `document.querySelectorAll("#printed script, #printed style, #printed [style], #printed [onclick], #printed [onload]").length`))
	assert.Equal(t, 1, eval[int](p, `document.querySelectorAll("#printed svg path.l-cold").length`))
	assert.NotEqual(t, "taken over", eval[string](p, `document.title`))
	_, err = chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	require.NoError(t, err)
	assert.Equal(t, "block none none", eval[string](p, `["#printed", "#note", "canvas"].map((s) => getComputedStyle(document.querySelector(s)).display).join(" ")`))
	p.clean()
}

func TestTheScreenStaysOnWhileItIsWanted(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1)
	_, err := chromedp.Call(p.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
		Source: `window.locks = 0; Object.defineProperty(navigator, "wakeLock", { value: { async request() { window.locks++; return (window.lock = { released: false, async release() { this.released = true; } }); } } });`})
	require.NoError(t, err)
	p.visit("")
	p.press(byMouse, button("Stay awake"))
	p.until(`window.locks === 1`)
	// The browser takes it away whenever the page is out of sight.
	p.do(`window.lock.released = true; document.dispatchEvent(new Event("visibilitychange"))`)
	p.until(`window.locks === 2`)
}

func TestLightDarkCalmAndUnits(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1)
	p.media("prefers-color-scheme", "dark", "prefers-reduced-motion", "reduce")
	p.visit("")
	part := image.Rect(300, 0, 800, 500)
	dark := inked(t, p.picture(), chart.Dark, part)
	assert.Greater(t, dark, 1000)
	assert.Less(t, dark, 100_000, "the paper is dark")
	assert.Equal(t, p.picture(), p.picture(), "nothing moves under reduced motion")
	p.media("prefers-color-scheme", "light", "prefers-reduced-motion", "reduce")
	p.until(`getComputedStyle(document.body).backgroundColor === "rgb(247, 242, 232)"`)
	for inked(t, p.picture(), chart.Light, part) > 100_000 { // until the canvas has followed
		require.NoError(t, p.ctx.Err())
	}
	assert.Equal(t, "psi and gallons; show bar and litres", eval[string](p, `document.getElementById("units").textContent`))
	p.press(byMouse, `document.getElementById("units")`)
	p.until(`document.getElementById("units").textContent.startsWith("bar and litres")`)
	p.reload().until(`document.getElementById("units").textContent.startsWith("bar and litres")`)
	p.clean()
}

func TestEverySizeHasRoomForFingersAndEyes(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 390, 844, 1).visit("")
	for _, size := range sizes {
		p.resize(size.wide, size.high, 1)
		p.until(`document.querySelector("canvas").width === innerWidth && innerWidth === ` + strconv.Itoa(size.wide))
		assert.Empty(t, eval[[]string](p, cramped), "%d by %d", size.wide, size.high)
		note := eval[[4]float64](p, `(() => { const r = document.getElementById("note").getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom]; })()`)
		if size.wide > size.high {
			share := 0.6
			if size.high < 500 { // a phone on its side, where the button needs the room while one listens
				share = 0.5
			}
			assert.GreaterOrEqual(t, float64(size.wide)-note[2], share*float64(size.wide), "the drawing has most of the sheet")
		} else {
			assert.GreaterOrEqual(t, note[1], 220.0, "the drawing is never under 220 px high")
		}
		tap := eval[float64](p, button("TAP WHEN IT STARTS")+`.getBoundingClientRect().height`)
		assert.GreaterOrEqual(t, tap, float64(size.high)/2-1, "half a phone's screen high")
	}
	p.clean()
}

// cramped lists what is too small to read or to press, or runs off the screen.
const cramped = `(() => {
	const out = [];
	const name = (e) => e.tagName + " " + (e.textContent || e.id).slice(0, 30);
	if (document.documentElement.scrollWidth > innerWidth) out.push("the page scrolls sideways");
	const note = document.getElementById("note");
	if (note.scrollWidth > note.clientWidth) out.push("the note scrolls sideways");
	for (const e of note.querySelectorAll("*")) {
		const style = getComputedStyle(e), r = e.getBoundingClientRect();
		if (style.display === "none" || r.width === 0) continue;
		if (e.localName === "text" && parseFloat(e.getAttribute("font-size")) * e.getScreenCTM().a < 11.95) out.push("small type in a picture: " + name(e));
		if (e.closest("svg")) continue;
		if ([...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()) && parseFloat(style.fontSize) < 12) out.push("small type: " + name(e));
		if (e.matches("button, a, input:not([type=file]), .open") && (r.height < 43.5 || r.width < 43.5)) out.push("small target: " + name(e) + " " + r.width + " by " + r.height);
	}
	return out;
})()`

func TestCountdownsFollowTheClock(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1).visit("")
	p.press(byMouse, button("Go on"))
	p.until(`/^0[01]:\d\d$/.test(document.querySelector(".countdown output").textContent)`)
	// The clock is put on by two minutes, as after a sleep.
	p.do(`const real = Date.now; Date.now = () => real() + 120_000`)
	p.until(`document.querySelector(".countdown").textContent === "It held."`)
}

func TestWordsForThoseWhoListen(t *testing.T) {
	t.Parallel()
	p := trialTab(t, 800, 500, 1).visit("")
	p.press(byMouse, button("Go on"))
	p.until(`document.querySelector("[role=status][aria-live=polite]").textContent === "Pressed 1 times."`)
	assert.Equal(t, "The pump. seen from its end", eval[string](p, `document.querySelector("figure svg").getAttribute("aria-label")`))
	assert.Equal(t, 0, eval[int](p, `document.querySelectorAll("#note svg style, #note svg [style]").length`))
	require.NoError(t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("\t")))
}

func waitFor(t *testing.T, path string) string {
	t.Helper()
	for {
		data, err := os.ReadFile(path)
		if err == nil && len(data) > 0 {
			return string(data)
		}
		require.NoError(t, t.Context().Err())
	}
}
