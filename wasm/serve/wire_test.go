package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/wasm/serve/site"
)

// patience is how long a test waits for what must come: a machine may be busy.
const patience = 30 * time.Second

// wired is a server of a small site on a socket, with limits as a test wants them.
func wired(t *testing.T, limits func(*http.Server)) (address string, s *site.Site) {
	t.Helper()
	s, err := small(context.Background(), site.Options{})
	require.NoError(t, err)
	server := serverOf(s.Handler(site.Headers("")))
	limits(server)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	t.Cleanup(func() {
		require.NoError(t, server.Close())
		assert.ErrorIs(t, <-ended, http.ErrServerClosed)
	})
	return l.Addr().String(), s
}

func asItIs(*http.Server) {}

// say sends raw bytes and returns what comes back until the server is done.
func say(t *testing.T, address, raw string) string {
	t.Helper()
	c, err := net.Dial("tcp", address)
	require.NoError(t, err)
	defer func() { _ = c.Close() }()
	require.NoError(t, c.SetDeadline(time.Now().Add(patience)))
	_, err = io.WriteString(c, raw)
	if err != nil { // it hung up before all was said
		return ""
	}
	answer, _ := io.ReadAll(c)
	return string(answer)
}

// However a request is put, only files of the site come back, under its headers.
func TestOnlyFilesOnTheWire(t *testing.T) {
	address, s := wired(t, asItIs)
	end := " HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"
	for _, target := range []string{"/../go.mod", "/..%2f..%2fgo.mod", "/%2e%2e/go.mod", "/%2e%2e%2fgo.mod", "/....//go.mod", "//go.mod", "///etc/passwd", "/etc/passwd", "/%00", "/index.html%00.js",
		"/\\..\\go.mod", "/%5c..%5cgo.mod", "/index.html/", "/INDEX.HTML", "/index.html%20", "/./index.html", "/" + s.Dir, "/" + s.Dir + "/", "/" + s.Dir + "/../index.html", "/debug/pprof/", "/debug/vars", "/.git/config", "/favicon.ico", "/~root", "/C:/x", "http://other.example/go.mod"} {
		answer := say(t, address, "GET "+target+end)
		assert.Regexp(t, `^HTTP/1\.1 404 `, answer, target)
		assert.Contains(t, answer, "Content-Security-Policy: default-src 'none'", target)
		assert.NotContains(t, answer, "module quietpump", target)
	}
	for _, target := range []string{"/", "/index.html", "/?x=../../y", "/index.html?", "http://other.example/"} {
		assert.Regexp(t, `^HTTP/1\.1 200 `, say(t, address, "GET "+target+end), target)
	}
	for _, raw := range []string{
		"POST /" + end, "PUT /index.html" + end, "DELETE /index.html" + end, "OPTIONS *" + end, "OPTIONS /" + end, "TRACE /" + end, "PATCH /" + end, "PROPFIND /" + end, "get /" + end,
		"CONNECT other.example:443 HTTP/1.1\r\nHost: other.example:443\r\nConnection: close\r\n\r\n",
	} {
		answer := say(t, address, raw)
		assert.Regexp(t, `^HTTP/1\.1 405 `, answer, raw)
		assert.Contains(t, answer, "Allow: GET, HEAD", raw)
	}
	for _, raw := range []string{
		"GET / HTTP/1.1\r\n\r\n", "GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", "GET /%zz" + end, "GET\r\n\r\n", "\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", "GET / HTTP/9.9\r\nHost: x\r\n\r\n",
		"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n", "GET / HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked, chunked\r\n\r\n", "GET / HTTP/1.1\r\nHost: x\r\nA b: c\r\n\r\n", "GET / HTTP/1.1\nHost: x\r\n \r\n\r\n",
	} {
		answer := say(t, address, raw+"\r\n\r\n")
		assert.Regexp(t, `^HTTP/1\.[01] (4|5)\d\d `, answer, "%q", raw)
	}
}

// No server name, no version, no listing, no redirect.
func TestItSaysNothingOfItself(t *testing.T) {
	address, s := wired(t, asItIs)
	for _, target := range []string{"/", "/" + s.Dir, "/no"} {
		r, err := http.Get("http://" + address + target)
		require.NoError(t, err)
		require.NoError(t, r.Body.Close())
		for _, name := range []string{"Server", "X-Powered-By", "Location", "Set-Cookie", "Access-Control-Allow-Origin"} {
			assert.Empty(t, r.Header.Get(name), "%s %s", target, name)
		}
		for key, value := range site.Headers("") {
			assert.Equal(t, value, r.Header.Get(key), "%s %s", target, key)
		}
	}
}

// Headers without end are refused, and nothing more is read.
func TestHugeHeaders(t *testing.T) {
	address, _ := wired(t, asItIs)
	c, err := net.Dial("tcp", address)
	require.NoError(t, err)
	defer func() { _ = c.Close() }()
	require.NoError(t, c.SetDeadline(time.Now().Add(patience)))
	sent := 0
	go func() {
		w := bufio.NewWriter(c)
		n, err := fmt.Fprint(w, "GET / HTTP/1.1\r\nHost: x\r\n")
		for err == nil && sent < 64<<20 {
			sent += n
			n, err = fmt.Fprintf(w, "X-%d: %s\r\n", sent, strings.Repeat("x", 1000))
		}
	}()
	answer, _ := io.ReadAll(c)
	if len(answer) > 0 { // else it was cut off
		assert.Regexp(t, `^HTTP/1\.1 431 `, string(answer))
	}
	for _, raw := range []string{
		"GET /" + strings.Repeat("a", 1<<16) + " HTTP/1.1\r\nHost: x\r\n\r\n",
		"GET / HTTP/1.1\r\nHost: x\r\nAccept-Encoding: " + strings.Repeat("gzip,", 1<<13) + "\r\n\r\n",
		strings.Repeat("G", 1<<16),
	} {
		if answer := say(t, address, raw); answer != "" {
			assert.Regexp(t, `^HTTP/1\.1 4\d\d `, answer)
		}
	}
}

// Who says a little at a time, or nothing, or does not listen, is hung up on.
func TestSlowClients(t *testing.T) {
	address, s := wired(t, func(s *http.Server) {
		s.ReadHeaderTimeout, s.ReadTimeout, s.WriteTimeout, s.IdleTimeout = 200*time.Millisecond, 300*time.Millisecond, 500*time.Millisecond, 200*time.Millisecond
	})
	hungUp := func(name string, after string, drip string) {
		c, err := net.Dial("tcp", address)
		require.NoError(t, err)
		defer func() { _ = c.Close() }()
		require.NoError(t, c.SetDeadline(time.Now().Add(patience)))
		_, err = io.WriteString(c, after)
		require.NoError(t, err)
		stop := make(chan struct{})
		dripped := make(chan struct{})
		go func() {
			defer close(dripped)
			for drip != "" {
				select {
				case <-stop:
					return
				case <-time.After(20 * time.Millisecond):
				}
				if _, err := io.WriteString(c, drip); err != nil {
					return
				}
			}
		}()
		_, err = io.Copy(io.Discard, c)
		close(stop)
		<-dripped
		if err != nil {
			assert.NotContains(t, err.Error(), "i/o timeout", "%s: nobody hung up", name)
		}
	}
	hungUp("silence", "", "")
	hungUp("a header by letters", "GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ", "a")
	hungUp("a body by letters", "POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 1000000\r\n\r\n", "a")
	hungUp("a connection kept", "GET / HTTP/1.1\r\nHost: x\r\n\r\n", "")
	// One that asks for much and reads nothing fills its own window, and then the
	// time to write is up; others are answered meanwhile.
	deaf, err := net.Dial("tcp", address)
	require.NoError(t, err)
	defer func() { _ = deaf.Close() }()
	_, err = io.WriteString(deaf, strings.Repeat("GET /"+s.Dir+"/regular.ttf HTTP/1.1\r\nHost: x\r\n\r\n", 200))
	require.NoError(t, err)
	assert.Regexp(t, `^HTTP/1\.1 200 `, say(t, address, "GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"))
}

// The limits that people are served with.
func TestLimits(t *testing.T) {
	s := serverOf(http.NotFoundHandler())
	assert.LessOrEqual(t, s.ReadHeaderTimeout, 10*time.Second)
	assert.LessOrEqual(t, s.ReadTimeout, 30*time.Second)
	assert.LessOrEqual(t, s.WriteTimeout, 10*time.Minute)
	assert.LessOrEqual(t, s.IdleTimeout, 2*time.Minute)
	assert.LessOrEqual(t, s.MaxHeaderBytes, 1<<16)
	for name, d := range map[string]time.Duration{"header": s.ReadHeaderTimeout, "read": s.ReadTimeout, "write": s.WriteTimeout, "idle": s.IdleTimeout} {
		assert.Positive(t, d, "%s: zero is for ever", name)
	}
}

// Whatever is asked for, what comes back is a file of the site or a refusal, under
// the site's headers.
func FuzzRequest(f *testing.F) {
	s, err := small(context.Background(), site.Options{})
	if err != nil {
		f.Fatal(err)
	}
	headers := site.Headers("")
	h := s.Handler(headers)
	whole := map[string]bool{}
	for _, file := range s.Files {
		whole[string(file.Data)] = true
	}
	for _, target := range []string{"/", "/index.html", "/../go.mod", "/%2e%2e/x", "/" + s.Dir + "/program.wasm", "*", "http://x/", "/%00"} {
		for _, more := range []string{"", "Accept-Encoding: gzip\r\n", "If-None-Match: \"x\"\r\n", "Range: bytes=0-3\r\n", "Accept-Encoding: gzip;q=0\r\nIf-None-Match: *\r\n"} {
			f.Add([]byte("GET " + target + " HTTP/1.1\r\nHost: x\r\n" + more + "\r\n"))
		}
	}
	f.Add([]byte("POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 3\r\n\r\nabc"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		r, err := http.ReadRequest(bufio.NewReader(bytes.NewReader(raw)))
		if err != nil {
			return
		}
		w := &answer{header: http.Header{}}
		h.ServeHTTP(w, r)
		for key, value := range headers {
			if w.header.Get(key) != value {
				t.Fatalf("%s is %q", key, w.header.Get(key))
			}
		}
		switch w.status() {
		case http.StatusOK:
			if r.Method != http.MethodGet && r.Method != http.MethodHead {
				t.Fatalf("%s was answered", r.Method)
			}
			if r.Method == http.MethodGet && w.header.Get("Content-Encoding") == "" && !whole[w.body.String()] {
				t.Fatalf("%q is no file of the site", r.URL)
			}
			if r.Method == http.MethodHead && w.body.Len() > 0 {
				t.Fatal("a HEAD has a body")
			}
			if w.header.Get("Content-Type") == "" {
				t.Fatalf("%q has no type", r.URL)
			}
		case http.StatusNotModified:
			if w.body.Len() > 0 {
				t.Fatal("what was not modified has a body")
			}
		case http.StatusNotFound, http.StatusMethodNotAllowed:
		default:
			t.Fatalf("status %d", w.code)
		}
	})
}

// An answer is what a handler wrote.
type answer struct {
	header http.Header
	code   int
	body   bytes.Buffer
}

func (a *answer) Header() http.Header { return a.header }
func (a *answer) WriteHeader(code int) {
	if a.code == 0 {
		a.code = code
	}
}
func (a *answer) Write(p []byte) (int, error) { return a.body.Write(p) }
func (a *answer) status() int {
	if a.code == 0 {
		return http.StatusOK
	}
	return a.code
}
