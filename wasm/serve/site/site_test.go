package site_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"encoding/xml"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"
	"github.com/evanw/esbuild/pkg/api"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/wasm/desk/house"
	"quietpump/wasm/serve/site"
)

// built is a site whose program is a word, so that nothing has to be compiled.
func built(t *testing.T, program string) *site.Site {
	t.Helper()
	s, err := site.Build(context.Background(), site.Options{Program: []byte(program), Runtime: []byte("// runtime")})
	require.NoError(t, err)
	return s
}

func ask(t *testing.T, h http.Handler, method, target string, headers ...string) *http.Response {
	t.Helper()
	r := httptest.NewRequest(method, "/", nil)
	r.URL.Path = target
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

func body(t *testing.T, r *http.Response) string {
	t.Helper()
	data, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return string(data)
}

func TestEveryFileHasItsTypeAndTheHeaders(t *testing.T) {
	s := built(t, "program")
	h := s.Handler(site.Headers(""))
	for name, f := range s.Files {
		r := ask(t, h, http.MethodGet, "/"+name)
		require.Equal(t, http.StatusOK, r.StatusCode, name)
		assert.Equal(t, string(f.Data), body(t, r), name)
		assert.NotEmpty(t, r.Header.Get("Content-Type"), name)
		assert.Equal(t, "nosniff", r.Header.Get("X-Content-Type-Options"))
		assert.Equal(t, "no-referrer", r.Header.Get("Referrer-Policy"))
		policy := r.Header.Get("Content-Security-Policy")
		for _, rule := range []string{"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'", "frame-ancestors 'none'", "require-trusted-types-for 'script'", "trusted-types quietpump quietpump-compile", "base-uri 'none'", "form-action 'none'"} {
			assert.Contains(t, policy, rule)
		}
		for _, loose := range []string{"unsafe-inline", "'unsafe-eval'", "http:", "https:", "data:", "blob:", "*"} {
			assert.NotContains(t, policy, loose)
		}
	}
	assert.Equal(t, "application/wasm", ask(t, h, http.MethodGet, "/"+s.Dir+"/program.wasm").Header.Get("Content-Type"))
	assert.Equal(t, "text/javascript; charset=utf-8", ask(t, h, http.MethodGet, "/worker.js").Header.Get("Content-Type"))
	assert.Equal(t, body(t, ask(t, h, http.MethodGet, "/index.html")), body(t, ask(t, h, http.MethodGet, "/")))
}

func TestOnlyFilesOfTheSiteAreServed(t *testing.T) {
	s := built(t, "program")
	h := s.Handler(site.Headers(""))
	for _, target := range []string{"/" + s.Dir, "/" + s.Dir + "/", "/../go.mod", "/" + s.Dir + "/../../site.go", "/..%2fgo.mod", "//etc/passwd", "/etc/passwd", "/.", "/index.html/", "/" + s.Dir + "\\program.wasm", "/" + s.Dir + "/program.wasm\x00"} {
		r := ask(t, h, http.MethodGet, target)
		assert.Equal(t, http.StatusNotFound, r.StatusCode, target)
		assert.NotEmpty(t, r.Header.Get("Content-Security-Policy"), "a page not found is under the same rules")
	}
	for _, method := range []string{http.MethodPost, http.MethodPut, http.MethodDelete, http.MethodOptions, http.MethodConnect, http.MethodTrace, "SPY"} {
		r := ask(t, h, method, "/")
		assert.Equal(t, http.StatusMethodNotAllowed, r.StatusCode, method)
		assert.Equal(t, "GET, HEAD", r.Header.Get("Allow"))
	}
	r := ask(t, h, http.MethodHead, "/")
	assert.Equal(t, http.StatusOK, r.StatusCode)
	assert.Empty(t, body(t, r))
	assert.NotEmpty(t, r.Header.Get("Content-Length"))
}

func TestGzipWhereItIsUnderstood(t *testing.T) {
	s := built(t, strings.Repeat("program ", 1000))
	h := s.Handler(site.Headers(""))
	target := "/" + s.Dir + "/program.wasm"
	for _, tt := range []struct {
		accept string
		packed bool
	}{{"", false}, {"gzip", true}, {"br, GZIP;q=0.5", true}, {"gzip;q=0", false}, {"gzip; q=0.000, br", false}, {"gzip;q=much", false}, {"br", false}, {"gzippy", false}} {
		r := ask(t, h, http.MethodGet, target, "Accept-Encoding", tt.accept)
		assert.Equal(t, "Accept-Encoding", r.Header.Get("Vary"))
		if !tt.packed {
			assert.Empty(t, r.Header.Get("Content-Encoding"), tt.accept)
			assert.Len(t, body(t, r), 8000)
			continue
		}
		require.Equal(t, "gzip", r.Header.Get("Content-Encoding"), tt.accept)
		z, err := gzip.NewReader(r.Body)
		require.NoError(t, err)
		data, err := io.ReadAll(z)
		require.NoError(t, err)
		assert.Len(t, data, 8000)
	}
}

func TestWhatChangesHasAnotherName(t *testing.T) {
	one, same, two := built(t, "program"), built(t, "program"), built(t, "program, mended")
	assert.Equal(t, one.Files, same.Files, "the same source gives the same site")
	assert.NotEqual(t, one.Dir, two.Dir)
	assert.NotEqual(t, one.Files["worker.js"].Sum, two.Files["worker.js"].Sum, "a new build is a new worker")
	h := one.Handler(site.Headers(""))
	assert.Contains(t, ask(t, h, http.MethodGet, "/"+one.Dir+"/program.wasm").Header.Get("Cache-Control"), "immutable")
	for _, name := range []string{"/", "/index.html", "/worker.js"} {
		r := ask(t, h, http.MethodGet, name)
		assert.Equal(t, "no-cache", r.Header.Get("Cache-Control"))
		again := ask(t, h, http.MethodGet, name, "If-None-Match", r.Header.Get("ETag"))
		assert.Equal(t, http.StatusNotModified, again.StatusCode)
		assert.Empty(t, body(t, again))
	}
}

// Whatever the page asks for is there, and the worker keeps all of it.
func TestThePageAsksForWhatThereIs(t *testing.T) {
	s := built(t, "program")
	index := string(s.Files["index.html"].Data)
	worker := string(s.Files["worker.js"].Data)
	asked := regexp.MustCompile(`(?:src|href|srcset|data-program)="([^"#?]+)"`).FindAllStringSubmatch(index, -1)
	require.Greater(t, len(asked), 10)
	for _, m := range asked {
		assert.Contains(t, s.Files, m[1])
	}
	for name, f := range s.Files {
		if f.Lasts {
			assert.Contains(t, worker, `"`+name+`"`)
		}
	}
	assert.NotContains(t, worker, "VERSION")
	assert.NotContains(t, worker, "FILES")
	assert.NotRegexp(t, `<script( [^t][^>]*| type="module"[^>]*)?>[^<]`, index, "no script within the page")
	note := regexp.MustCompile(`<script type="application/json" id="first">(.*)</script>`).FindStringSubmatch(index)
	require.NotNil(t, note)
	var first struct{ Chapter, Title string }
	require.NoError(t, json.Unmarshal([]byte(note[1]), &first))
	assert.Equal(t, house.Chapters()[0].Key(), first.Chapter)
	assert.NotEmpty(t, first.Title)
	assert.NotRegexp(t, `(?i) style=|<style| on[a-z]+=|javascript:|https?://`, strings.Replace(index, note[1], "", 1))
	for _, c := range house.Chapters() {
		assert.Contains(t, index, `data-chapter="`+c.Key()+`">`+c.Name()+`</a>`)
	}
	assert.Contains(t, index, `max="7"`)
}

func TestStillsAreDrawn(t *testing.T) {
	s := built(t, "program")
	for _, name := range []string{"still-tall-light.svg", "still-tall-dark.svg", "still-wide-light.svg", "still-wide-dark.svg", "icon.svg"} {
		f, ok := s.Files[s.Dir+"/"+name]
		require.True(t, ok, name)
		marks := 0
		for d := xml.NewDecoder(bytes.NewReader(f.Data)); ; {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			require.NoError(t, err, name)
			if e, ok := token.(xml.StartElement); ok && (e.Name.Local == "path" || e.Name.Local == "text") {
				marks++
			}
		}
		assert.Greater(t, marks, 4, name)
		assert.NotContains(t, string(f.Data), "<style", "the policy would refuse it")
	}
}

// The scripts are syntax that browsers of the last years read, without warnings.
func TestScriptsAreWellFormed(t *testing.T) {
	s := built(t, "program")
	seen := 0
	for name, f := range s.Files {
		if filepath.Ext(name) != ".js" || strings.HasSuffix(name, "wasm_exec.js") {
			continue
		}
		seen++
		r := api.Transform(string(f.Data), api.TransformOptions{Loader: api.LoaderJS, Target: api.ES2022, Sourcefile: name})
		assert.Empty(t, r.Errors, name)
		assert.Empty(t, r.Warnings, name)
	}
	assert.Equal(t, 7, seen)
}

func TestEmbedRelaxesTheLastRuleAlone(t *testing.T) {
	plain, embed := site.Headers(""), site.Headers("https://school.example")
	for key, value := range plain {
		if key != "Content-Security-Policy" {
			assert.Equal(t, value, embed[key])
		}
	}
	assert.Equal(t, strings.Replace(plain["Content-Security-Policy"], "frame-ancestors 'none'", "frame-ancestors https://school.example", 1), embed["Content-Security-Policy"])
	for _, good := range []string{"https://school.example", "http://127.0.0.1:8000", "https://a.b.example:8443"} {
		err := site.CheckOrigin(good)
		assert.NoError(t, err, good)
	}
	for _, bad := range []string{"", "school.example", "https://", "https://a.example/course", "https://a.example; script-src *", "https://a.example 'unsafe-inline'", "https://*.example",
		"ftp://a.example", "https://me@a.example", "https://a.example?x", "https://a.example\nX: y", "*", "javascript:alert(1)"} {
		err := site.CheckOrigin(bad)
		assert.Error(t, err, bad)
	}
}

func TestWrittenSite(t *testing.T) {
	s := built(t, strings.Repeat("program ", 1000))
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("mine"), 0o644))
	require.NoError(t, s.Write(dir, site.Headers("https://school.example")))
	for name, f := range s.Files {
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		require.NoError(t, err)
		assert.Equal(t, f.Data, data, name)
		packed, err := os.Open(filepath.Join(dir, filepath.FromSlash(name)) + ".br")
		require.NoError(t, err)
		data, err = io.ReadAll(brotli.NewReader(packed))
		require.NoError(t, packed.Close())
		require.NoError(t, err)
		assert.Equal(t, f.Data, data, name)
	}
	headers, err := os.ReadFile(filepath.Join(dir, "headers.txt"))
	require.NoError(t, err)
	assert.Contains(t, string(headers), "frame-ancestors https://school.example")
	assert.Contains(t, string(headers), ".wasm: application/wasm")
	mine, err := os.ReadFile(filepath.Join(dir, "mine.txt"))
	require.NoError(t, err)
	assert.Equal(t, "mine", string(mine))
	// Without a server that sends headers the page states the policy itself.
	assert.Contains(t, string(s.Files["index.html"].Data), `http-equiv="Content-Security-Policy"`)
	assert.NotContains(t, string(s.Files["index.html"].Data), "frame-ancestors", "which a page cannot state")
}

// Where writing a new site fails half way, the old one is still whole.
func TestWritingFailsBeforeThePageIsReplaced(t *testing.T) {
	of := func(dir string) *site.Site {
		return &site.Site{Dir: dir, Files: map[string]site.File{
			"index.html": {Data: []byte("asks for " + dir)}, "worker.js": {Data: []byte("keeps " + dir)}, dir + "/a.js": {Data: []byte(dir), Lasts: true},
		}}
	}
	before, after := of("old"), of("new")
	dir := t.TempDir()
	require.NoError(t, before.Write(dir, site.Headers("")))
	require.NoError(t, os.WriteFile(filepath.Join(dir, after.Dir), []byte("in the way"), 0o644))
	require.Error(t, after.Write(dir, site.Headers("")))
	for name, f := range before.Files {
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		require.NoError(t, err)
		assert.Equal(t, f.Data, data, name)
	}
}

// Nothing that the page is made of names another place or a way to send anything
// there, and the worker answers for this place alone.
func TestNothingAsksElsewhere(t *testing.T) {
	s := built(t, "program")
	looked := 0
	for name, f := range s.Files {
		switch filepath.Ext(name) {
		case ".js", ".css", ".html", ".svg":
		default:
			continue
		}
		if strings.HasSuffix(name, "wasm_exec.js") {
			continue
		}
		looked++
		text := regexp.MustCompile(`(?m)^\s*//.*$`).ReplaceAllString(string(f.Data), "")
		text = strings.ReplaceAll(text, "http://www.w3.org/2000/svg", "")
		assert.NotRegexp(t, `(?i)\b(https?|wss?|ftp):/|[("'=\s]//[a-z0-9.-]+\.[a-z]`, text, "%s names another place", name)
		assert.NotRegexp(t, `sendBeacon|XMLHttpRequest|WebSocket|EventSource|RTCPeerConnection|importScripts|document\.cookie|<form|@import|<base`, text, "%s", name)
		for _, m := range regexp.MustCompile(`\bfetch\(([^)]*)`).FindAllStringSubmatch(text, -1) {
			assert.NotContains(t, m[1], "method", "%s sends something: fetch(%s)", name, m[1])
		}
	}
	assert.Greater(t, looked, 8)
	for _, m := range site.Headers("") {
		assert.NotRegexp(t, `report-(uri|to)`, m, "a report would leave the device")
	}
}
