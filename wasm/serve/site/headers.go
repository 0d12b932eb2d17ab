package site

import (
	"fmt"
	"net/url"
	"strings"
)

// rules are what the page may do (Content Security Policy Level 3; Trusted Types):
// load and compile its own program, and nothing from anywhere else.
var rules = []string{
	"default-src 'none'",
	"script-src 'self' 'wasm-unsafe-eval'",
	"connect-src 'self'",
	"style-src 'self'",
	"img-src 'self'",
	"font-src 'self'",
	"worker-src 'self'",
	"base-uri 'none'",
	"form-action 'none'",
	"require-trusted-types-for 'script'",
	"trusted-types quietpump quietpump-compile",
}

// within is the policy as a page can state it itself, which leaves out who may show
// the page in a frame.
func within(extra string) string { return strings.Join(rules, "; ") + extra }

// Headers are what goes with every file, by name. Embed is an origin that may show the
// page in a frame ("https://school.example"), and relaxes that alone; empty: nobody may.
// It goes in as it is: what a person gave is for [CheckOrigin] first.
func Headers(embed string) map[string]string {
	who := embed
	if who == "" {
		who = "'none'"
	}
	return map[string]string{
		"Content-Security-Policy":      within("; frame-ancestors " + who),
		"X-Content-Type-Options":       "nosniff",
		"Referrer-Policy":              "no-referrer",
		"Permissions-Policy":           "camera=(), microphone=(), geolocation=(), payment=()",
		"Cross-Origin-Opener-Policy":   "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
	}
}

// CheckOrigin refuses what is no origin to embed: it has a scheme, http or https, and a
// host, and nothing that would write a policy of its own.
func CheckOrigin(text string) error {
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.User != nil ||
		u.Path != "" || u.RawQuery != "" || u.Fragment != "" || strings.ContainsAny(text, " ;,'\"*\t\r\n") {
		return fmt.Errorf("site: %q is no origin; give one like https://school.example", text)
	}
	return nil
}

// cache is how long a file may be used without asking.
func (f File) cache() string {
	if f.Lasts {
		return "public, max-age=31536000, immutable"
	}
	return "no-cache"
}
