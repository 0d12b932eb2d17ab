//go:build !js

package browsertest

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

var speedAsked = flag.Bool("speed", false, "tell how fast the solver is natively, in Node and in the browser")

// speedPage runs the program; its output is the console's.
const speedPage = `<!doctype html><html><head><meta charset="utf-8"><title>speed</title><script src="/wasm_exec.js"></script></head><body><script>
const go = new Go();
WebAssembly.instantiateStreaming(fetch("/program.wasm"), go.importObject).then(({ instance }) => go.run(instance));
</script></body></html>`

// TestSpeed tells what a simulated hour and day and a belief take of the processor, once warm:
// natively, in Node and in Chromium, one after the other. It decides nothing.
func TestSpeed(t *testing.T) {
	if !*speedAsked {
		t.Skip("it takes minutes; -speed asks for it")
	}
	room := t.TempDir()
	build := func(name string, env ...string) string {
		out := filepath.Join(room, name)
		cmd := exec.Command("go", "build", "-o", out, "quietpump/wasm/browsertest/speedprogram")
		cmd.Env = append(os.Environ(), env...)
		said, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", said)
		return out
	}
	native, program := build("speed"), build("speed.wasm", "GOOS=js", "GOARCH=wasm")
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	lib := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm")

	first := ran(t, exec.Command(native))
	first.tell(t, "native", nil)
	if _, err := exec.LookPath("node"); err == nil {
		ran(t, exec.Command("node", filepath.Join(lib, "wasm_exec_node.js"), program)).tell(t, "Node", first)
	} else {
		t.Log("no Node was found")
	}
	browsed(t, lib, program).tell(t, "Chromium", first)
}

// clocked is what each task took of the processor, in order.
type clocked struct {
	tasks []string
	took  []float64 // s a time

	pid    int
	before float64
}

// hear notes a line of the program's output and reports whether it was the last.
func (c *clocked) hear(t *testing.T, line string) (last bool) {
	words := strings.Fields(line)
	if len(words) < 2 || words[0] != "speed" {
		return false
	}
	switch words[1] {
	case "begin":
		c.before = processor(c.pid)
	case "end":
		times, err := strconv.ParseFloat(words[2], 64)
		require.NoError(t, err)
		c.tasks = append(c.tasks, strings.Join(words[3:], " "))
		c.took = append(c.took, (processor(c.pid)-c.before)/times)
	case "failed:":
		require.Fail(t, line)
	}
	return words[1] == "done"
}

func (c *clocked) tell(t *testing.T, where string, native *clocked) {
	require.NotEmpty(t, c.tasks, where)
	for i, task := range c.tasks {
		times := ""
		if native != nil {
			times = fmt.Sprintf(", %.2f times native", c.took[i]/native.took[i])
		}
		t.Logf("%s, %s: %.4g ms of the processor%s", where, task, 1e3*c.took[i], times)
	}
}

func ran(t *testing.T, cmd *exec.Cmd) *clocked {
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	c := &clocked{pid: cmd.Process.Pid}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		c.hear(t, lines.Text())
	}
	require.NoError(t, cmd.Wait())
	return c
}

func browsed(t *testing.T, lib, program string) *clocked {
	browser := needed(t)
	files := http.NewServeMux()
	files.HandleFunc("/", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, speedPage) })
	for path, file := range map[string]string{"/wasm_exec.js": filepath.Join(lib, "wasm_exec.js"), "/program.wasm": program} {
		files.HandleFunc(path, func(w http.ResponseWriter, r *http.Request) { http.ServeFile(w, r, file) })
	}
	server := httptest.NewServer(files)
	defer server.Close()
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	defer cancel()
	ctx, late := context.WithTimeout(ctx, 30*time.Minute)
	defer late()
	require.NoError(t, chromedp.Do(ctx))
	c := &clocked{pid: chromedp.FromContext(ctx).Browser.Process().Pid}
	lines := make(chan string, 64)
	require.NoError(t, chromedp.Listen(ctx, func(ev any) {
		if said, ok := ev.(*runtime.EventConsoleAPICalled); ok && len(said.Args) > 0 {
			text, err := strconv.Unquote(string(said.Args[0].Value))
			if err == nil {
				lines <- text
			}
		}
	}))
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(server.URL)))
	for {
		select {
		case line := <-lines:
			if c.hear(t, line) {
				return c
			}
		case <-ctx.Done():
			require.Fail(t, "the browser said nothing more")
		}
	}
}

// processor is what a process and all that it has started have taken of the processor, s;
// where that is not told, the time.
func processor(pid int) float64 {
	const ticks = 100 // a second, as Linux tells it
	stats, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil || len(stats) == 0 {
		return float64(time.Now().UnixNano()) * 1e-9
	}
	parent, used := map[int]int{}, map[int]float64{}
	for _, path := range stats {
		text, err := os.ReadFile(path)
		if err != nil {
			continue // it has ended
		}
		id, err := strconv.Atoi(filepath.Base(filepath.Dir(path)))
		after := strings.LastIndexByte(string(text), ')') // its name may hold anything
		fields := strings.Fields(string(text[after+1:]))
		if err != nil || len(fields) < 13 {
			continue
		}
		parent[id], _ = strconv.Atoi(fields[1])
		for _, f := range []string{fields[11], fields[12]} { // its own time and the system's
			n, _ := strconv.ParseFloat(f, 64)
			used[id] += n / ticks
		}
	}
	sum := 0.0
	for id, s := range used {
		for up := id; up > 0; up = parent[up] {
			if up == pid {
				sum += s
				break
			}
		}
	}
	return sum
}
