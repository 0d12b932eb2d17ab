package site_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const root = "../../.."

// offline runs the go command without a network and returns the lines it writes.
func offline(t *testing.T, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", args...)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOPROXY=off", "GOFLAGS=-mod=readonly")
	out, err := cmd.Output()
	require.NoError(t, err, "%v", args)
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

// Every module of go.mod stands in DEVELOPERS.md with the licence that lies in the
// module cache, and with what it is for; and no other does.
func TestSupplyIsToldAndLicensed(t *testing.T) {
	page, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	require.NoError(t, err)
	told := map[string]string{}
	for _, m := range regexp.MustCompile(`(?m)^\| ([a-z]+\.[^ ]+/[^ ]+) \| ([^|]+) \| ([^|]+) \|$`).FindAllStringSubmatch(string(page), -1) {
		require.NotContains(t, told, m[1], "told twice")
		told[m[1]] = m[2]
	}
	text, err := os.ReadFile(filepath.Join(root, "go.mod"))
	require.NoError(t, err)
	direct, indirect, read := 0, 0, 0
	for _, m := range regexp.MustCompile(`(?m)^\t(\S+) v\S+( // indirect)?$`).FindAllStringSubmatch(string(text), -1) {
		if m[2] == "" {
			direct++
		} else {
			indirect++
		}
		licence, ok := told[m[1]]
		if !assert.True(t, ok, "%s is not told in DEVELOPERS.md", m[1]) {
			continue
		}
		delete(told, m[1])
		if dir := offline(t, "list", "-m", "-f", "{{.Dir}}", m[1])[0]; dir != "" {
			read++
			assert.Equal(t, licence, licenceOf(t, dir), m[1])
		}
	}
	assert.Empty(t, told, "told and not in go.mod")
	assert.Contains(t, string(page), number(direct)+" modules are asked for and "+number(indirect)+" come with them")
	assert.Greater(t, read, 20, "few modules lie in the cache")
}

func number(n int) string {
	return strings.TrimLeft(string([]byte{byte('0' + n/10), byte('0' + n%10)}), "0")
}

// licenceOf names the licence of a module by the words of its text.
func licenceOf(t *testing.T, dir string) string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "LICEN*"))
	require.NoError(t, err)
	require.NotEmpty(t, names, dir)
	data, err := os.ReadFile(names[0])
	require.NoError(t, err)
	text := strings.Join(strings.Fields(string(data)), " ")
	has := func(words string) bool { return strings.Contains(text, words) }
	switch mit := has("Permission is hereby granted, free of charge, to any person obtaining a copy"); {
	case has("two different licenses: MIT and Apache"):
		return "MIT and Apache-2.0"
	case has("choice of exactly one of the following two licenses") && has("FreeType License") && has("GNU General Public License"):
		return "FTL or GPL-2.0"
	case has("Creative Commons Attribution 4.0 International"):
		return "CC-BY-4.0"
	case has("Mozilla Public License Version 2.0"):
		return "MPL-2.0"
	case has("Apache License Version 2.0"):
		return "Apache-2.0"
	case mit:
		return "MIT"
	case has("Redistribution and use in source and binary forms") && has("either the name"): // neither, or Neither
		return "BSD-3-Clause"
	}
	return "unknown: " + text[:min(80, len(text))]
}

// Nothing but the demo's server opens a connection: no other package imports
// anything that could, and no command but that one has it linked in.
func TestSupplyOfNoNetwork(t *testing.T) {
	servers := []string{"quietpump/wasm/serve", "quietpump/wasm/serve/site"}
	opens := regexp.MustCompile(`^(net|net/(http|rpc|smtp|textproto)(/.*)?|crypto/tls|golang\.org/x/net/(http2|proxy|websocket).*|syscall/js)$`)
	commands := 0
	for _, line := range offline(t, "list", "-f", "{{.ImportPath}} {{.Name}} {{join .Imports \",\"}} {{join .Deps \",\"}}", "./...") {
		words := append(strings.Split(line, " "), "", "")
		name, imports, deps := words[0], strings.Split(words[2], ","), strings.Split(words[3], ",")
		for _, imported := range imports {
			if opens.MatchString(imported) {
				assert.Contains(t, servers, name, "it imports %s", imported)
			}
		}
		// What is imported by tests alone brings testify along, which has assertions for
		// web handlers.
		if slices.Contains(imports, "testing") || slices.Contains(servers, name) {
			continue
		}
		assert.False(t, slices.Contains(deps, "net"), "%s can open a connection", name)
		if words[1] == "main" {
			commands++
		}
	}
	assert.GreaterOrEqual(t, commands, 6)
}
