// Serve builds the demo and shows it.
//
//	go run ./wasm/serve                # builds it and serves it on this machine
//	go run ./wasm/serve -open          # and opens a browser there
//	go run ./wasm/serve -out public    # writes a site that any web server can host
//
//	-addr ADDRESS   where to serve; 127.0.0.1:8086 unless told, which only this machine can reach
//	-open           open the page in the browser
//	-out DIR        write the site into a folder and end
//	-embed ORIGIN   let pages of this origin show it in a frame: https://school.example
//
// It needs Go and nothing else. It exits with 0 when done, 1 when the site cannot be built or served, and 2 when it is asked in
// a way it does not understand.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"os/signal"
	"runtime"
	"time"

	"quietpump/wasm/serve/site"
)

const (
	done       = 0
	failed     = 1
	wrongUsage = 2
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr, site.Build))
}

// A builder makes the site; tests hand in one that does not compile anything.
type builder func(context.Context, site.Options) (*site.Site, error)

func run(ctx context.Context, args []string, stdout, stderr io.Writer, build builder) int {
	flags := flag.NewFlagSet("serve", flag.ContinueOnError)
	flags.SetOutput(stderr)
	addr := flags.String("addr", "127.0.0.1:8086", "where to serve")
	show := flags.Bool("open", false, "open the page in the browser")
	out := flags.String("out", "", "write the site into this folder and end")
	embed := flags.String("embed", "", "let pages of this origin show it in a frame")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return done
		}
		return wrongUsage
	}
	if flags.NArg() > 0 {
		fmt.Fprintf(stderr, "serve: %q is not understood; options begin with -\n", flags.Arg(0))
		return wrongUsage
	}
	if *embed != "" {
		if err := site.CheckOrigin(*embed); err != nil {
			fmt.Fprintln(stderr, err)
			return wrongUsage
		}
	}
	headers := site.Headers(*embed)

	fmt.Fprintln(stdout, "building the page")
	s, err := build(ctx, site.Options{})
	if err != nil {
		fmt.Fprintln(stderr, err)
		return failed
	}
	if *out != "" {
		fmt.Fprintln(stdout, "compressing, which takes a minute or two")
		if err := s.Write(*out, headers); err != nil {
			fmt.Fprintln(stderr, err)
			return failed
		}
		fmt.Fprintf(stdout, "written to %s; headers.txt there says what your server should send\n", *out)
		return done
	}
	if err := serve(ctx, *addr, s.Handler(headers), func(address string) {
		fmt.Fprintf(stdout, "the page is at %s (end with Ctrl-C)\n", address)
		if *show {
			if err := open(address); err != nil {
				fmt.Fprintf(stderr, "no browser could be opened: %v\n", err)
			}
		}
	}); err != nil {
		fmt.Fprintln(stderr, err)
		return failed
	}
	return done
}

// serverOf is a server of files alone. The times keep a caller that hangs from
// holding a connection for ever; the program takes a slow phone a few minutes.
func serverOf(h http.Handler) *http.Server {
	return &http.Server{
		Handler:                      h,
		ReadHeaderTimeout:            5 * time.Second,
		ReadTimeout:                  10 * time.Second,
		WriteTimeout:                 5 * time.Minute,
		IdleTimeout:                  time.Minute,
		MaxHeaderBytes:               1 << 14,
		DisableGeneralOptionsHandler: true, // "OPTIONS *" is no file either
	}
}

// serve answers until the context ends.
func serve(ctx context.Context, addr string, h http.Handler, ready func(address string)) error {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("serve: %w; choose another with -addr", err)
	}
	server := serverOf(h)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	ready("http://" + l.Addr().String() + "/")
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	closing, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := server.Shutdown(closing); err != nil {
		return server.Close()
	}
	return nil
}

func open(address string) error {
	command := []string{"xdg-open", address}
	switch runtime.GOOS {
	case "darwin":
		command[0] = "open"
	case "windows":
		command = []string{"rundll32", "url.dll,FileProtocolHandler", address}
	}
	return exec.Command(command[0], command[1:]...).Start()
}
