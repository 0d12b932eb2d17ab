package main

import (
	"context"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"quietpump/wasm/serve/site"
)

// Ended at any instant, while it builds, as it begins, with callers that wait and
// callers that hang, it ends and leaves no goroutine.
func TestEndedAtAnyInstant(t *testing.T) {
	before := goleak.IgnoreCurrent()
	defer goleak.VerifyNone(t, before)
	defer http.DefaultClient.CloseIdleConnections()

	// While the site is built.
	ctx, stop := context.WithCancel(context.Background())
	waits := func(ctx context.Context, _ site.Options) (*site.Site, error) {
		stop()
		<-ctx.Done()
		return nil, ctx.Err()
	}
	assert.Equal(t, failed, run(ctx, nil, io.Discard, io.Discard, waits))

	s, err := small(context.Background(), site.Options{})
	require.NoError(t, err)
	ready := func(context.Context, site.Options) (*site.Site, error) { return s, nil }
	for at := range 12 {
		ctx, stop := context.WithTimeout(context.Background(), time.Duration(at)*300*time.Microsecond)
		assert.Equal(t, done, run(ctx, []string{"-addr", "127.0.0.1:0"}, io.Discard, io.Discard, ready))
		stop()
	}

	// With callers of every kind.
	ctx, stop = context.WithCancel(context.Background())
	out := &loud{said: make(chan string, 1)}
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, []string{"-addr", "127.0.0.1:0"}, out, io.Discard, ready) }()
	address := strings.TrimSuffix(strings.TrimPrefix(strings.Fields(strings.TrimPrefix(<-out.said, "the page is at "))[0], "http://"), "/")
	for _, raw := range []string{"", "GET / HT", "GET / HTTP/1.1\r\nHost: x\r\n\r\n", strings.Repeat("GET /"+s.Dir+"/regular.ttf HTTP/1.1\r\nHost: x\r\n\r\n", 50)} {
		c, err := net.Dial("tcp", address)
		require.NoError(t, err)
		defer func() { _ = c.Close() }()
		_, err = io.WriteString(c, raw)
		require.NoError(t, err)
	}
	stop()
	assert.Equal(t, done, <-ended)
}
