package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/wasm/serve/site"
)

func small(ctx context.Context, _ site.Options) (*site.Site, error) {
	return site.Build(ctx, site.Options{Program: []byte("program"), Runtime: []byte("// runtime")})
}

// A loud writer hands on what is written to it, line by line.
type loud struct {
	mu   sync.Mutex
	text bytes.Buffer
	said chan string
}

func (l *loud) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.text.Write(p)
	if strings.Contains(string(p), "http://") {
		l.said <- string(p)
	}
	return len(p), nil
}

func TestServesWhereItSays(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	out := &loud{said: make(chan string, 1)}
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, []string{"-addr", "127.0.0.1:0"}, out, io.Discard, small) }()
	var said string
	select {
	case said = <-out.said:
	case code := <-ended:
		t.Fatalf("it ended with %d before it served", code)
	}
	address := strings.Fields(said[strings.Index(said, "http://"):])[0]
	assert.True(t, strings.HasPrefix(address, "http://127.0.0.1:"))
	r, err := http.Get(address)
	require.NoError(t, err)
	page, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	assert.Contains(t, string(page), "Why does the pump keep starting?")
	assert.Contains(t, r.Header.Get("Content-Security-Policy"), "frame-ancestors 'none'")
	stop()
	assert.Equal(t, done, <-ended)
}

func TestWritesASite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "public")
	var out bytes.Buffer
	require.Equal(t, done, run(context.Background(), []string{"-out", dir, "-embed", "https://school.example"}, &out, io.Discard, small))
	assert.Contains(t, out.String(), "written to "+dir)
	assert.FileExists(t, filepath.Join(dir, "index.html"))
	assert.FileExists(t, filepath.Join(dir, "index.html.br"))
	headers, err := os.ReadFile(filepath.Join(dir, "headers.txt"))
	require.NoError(t, err)
	assert.Contains(t, string(headers), "frame-ancestors https://school.example")
}

func TestSaysWhatItDoesNotUnderstand(t *testing.T) {
	busy, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer func() { _ = busy.Close() }()
	fails := func(context.Context, site.Options) (*site.Site, error) { return nil, errors.New("no compiler") }
	for _, tt := range []struct {
		args  []string
		build builder
		code  int
		says  string
	}{
		{[]string{"-addr", busy.Addr().String()}, small, failed, "choose another with -addr"},
		{[]string{"-embed", "school.example"}, small, wrongUsage, "no origin"},
		{[]string{"-port", "80"}, small, wrongUsage, "-port"},
		{[]string{"public"}, small, wrongUsage, `"public"`},
		{[]string{"-h"}, small, done, "-embed"},
		{nil, fails, failed, "no compiler"},
		{[]string{"-out", string([]byte{0})}, small, failed, "site:"},
	} {
		var problem bytes.Buffer
		assert.Equal(t, tt.code, run(context.Background(), tt.args, io.Discard, &problem, tt.build), tt.args)
		assert.Contains(t, problem.String(), tt.says)
	}
}
