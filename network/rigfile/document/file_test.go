//go:build unix

package document

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// faulty is a disk on which one step fails: the step of that number, counted from
// 0. A write that fails has put a part down, as on a full disk. Where it dies,
// nothing at all happens from that step on, as where a process is killed or the
// power goes.
type faulty struct {
	disk
	at, step int
	dies     bool
	steps    []string
}

var errFault = errors.New("no space left on device")

func (d *faulty) fails(step string) bool {
	d.steps = append(d.steps, step)
	d.step++
	return d.step-1 == d.at || d.dies && d.step-1 > d.at
}

func (d *faulty) do(step string, f func() error) error {
	if d.fails(step) {
		return errFault
	}
	return f()
}

func (d *faulty) Create(dir, pattern string) (writer, error) {
	if d.fails("create") {
		return nil, errFault
	}
	f, err := os.CreateTemp(dir, pattern)
	return faultyFile{f, d}, err
}

func (d *faulty) KeepOwner(f writer, old fs.FileInfo) error {
	return d.do("owner", func() error { return d.disk.KeepOwner(f, old) })
}
func (d *faulty) Rename(from, to string) error {
	return d.do("rename", func() error { return d.disk.Rename(from, to) })
}
func (d *faulty) Remove(name string) error {
	return d.do("remove", func() error { return d.disk.Remove(name) })
}
func (d *faulty) SyncDir(dir string) error {
	return d.do("sync folder", func() error { return d.disk.SyncDir(dir) })
}

type faultyFile struct {
	*os.File
	disk *faulty
}

func (f faultyFile) Write(p []byte) (int, error) {
	if f.disk.fails("write") {
		n, _ := f.File.Write(p[:len(p)/2])
		return n, errFault
	}
	return f.File.Write(p)
}
func (f faultyFile) Chmod(m fs.FileMode) error {
	return f.disk.do("chmod", func() error { return f.File.Chmod(m) })
}
func (f faultyFile) Sync() error { return f.disk.do("sync", f.File.Sync) }
func (f faultyFile) Close() error {
	err := f.File.Close()
	return errors.Join(f.disk.do("close", func() error { return nil }), err)
}

// Whatever step fails, and wherever all ends, the file holds what it held before
// or what it was to hold, whole; and where the writer says that it failed, what
// it held before.
func TestWhateverFailsNothingIsLost(t *testing.T) {
	before, after := bytes.Repeat([]byte("before "), 9999), bytes.Repeat([]byte("after "), 9999)
	const steps = 8 // create, write, owner, chmod, sync, close, rename, sync folder
	for _, dies := range []bool{false, true} {
		for at := range steps + 1 {
			dir := t.TempDir()
			path := filepath.Join(dir, "coach.card.toml")
			require.NoError(t, os.WriteFile(path, before, 0o640))
			on := &faulty{at: at, dies: dies}
			err := writeFile(on, path, after)
			got, readErr := os.ReadFile(path)
			require.NoError(t, readErr)
			name := strings.Join(on.steps, ", ")
			renamed := at > 6
			if renamed {
				assert.NoError(t, err, name)
				assert.Equal(t, after, got, name)
			} else {
				assert.ErrorIs(t, err, errFault, name)
				assert.Equal(t, before, got, name)
			}
			info, statErr := os.Stat(path)
			require.NoError(t, statErr)
			assert.Equal(t, fs.FileMode(0o640), info.Mode().Perm(), name)
			left, globErr := filepath.Glob(filepath.Join(dir, ".*.new-*"))
			require.NoError(t, globErr)
			if !dies {
				assert.Empty(t, left, "a failure cleans up: %s", name)
			}
			if at == steps && !dies {
				assert.Equal(t, "create, write, owner, chmod, sync, close, rename, sync folder", name)
			}
			// And the next writer is not in its way.
			require.NoError(t, WriteFile(path, after))
			got, readErr = os.ReadFile(path)
			require.NoError(t, readErr)
			assert.Equal(t, after, got)
		}
	}
}

// A file that a disk takes only half of without a word is a failure too.
func TestShortWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	require.NoError(t, os.WriteFile(path, []byte("before"), 0o600))
	err := writeFile(short{}, path, []byte("after"))
	assert.ErrorIs(t, err, io.ErrShortWrite)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "before", string(got))
}

type short struct{ disk }

func (short) Create(dir, pattern string) (writer, error) {
	f, err := os.CreateTemp(dir, pattern)
	return shortFile{f}, err
}

type shortFile struct{ *os.File }

func (f shortFile) Write(p []byte) (int, error) { return f.File.Write(p[:1]) }

const killed = "QUIETPUMP_TEST_WRITES" // the file that a child writes for ever

func TestMain(m *testing.M) {
	if path := os.Getenv(killed); path != "" {
		for i := 0; ; i++ {
			if err := WriteFile(path, content(i)); err != nil {
				_, _ = os.Stderr.WriteString(err.Error())
				os.Exit(1)
			}
			if i == 0 {
				_, _ = os.Stdout.WriteString("writing")
			}
		}
	}
	os.Exit(m.Run())
}

// content is one of two, as long as a large card.
func content(i int) []byte { return bytes.Repeat([]byte{"ab"[i%2]}, 200_000+i%2) }

// A process that writes one thing after another is killed at any moment: the file
// is one of them, whole.
func TestKilledWhileWriting(t *testing.T) {
	if testing.Short() {
		t.Skip("it starts processes")
	}
	path := filepath.Join(t.TempDir(), "coach.card.toml")
	require.NoError(t, os.WriteFile(path, content(1), 0o604))
	left := 0
	for round := range 25 {
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), killed+"="+path)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		_, err = io.ReadFull(out, make([]byte, len("writing")))
		require.NoError(t, err, "it never wrote")
		time.Sleep(time.Duration(round) * 700 * time.Microsecond)
		require.NoError(t, child.Process.Kill())
		_ = child.Wait()
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		if !bytes.Equal(got, content(0)) && !bytes.Equal(got, content(1)) {
			t.Fatalf("round %d left %d bytes that are neither", round, len(got))
		}
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, fs.FileMode(0o604), info.Mode().Perm())
		rest, err := filepath.Glob(filepath.Join(filepath.Dir(path), ".*"))
		require.NoError(t, err)
		left = len(rest)
	}
	t.Logf("%d of 25 were killed with a new file half made", left)
}

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x")
	require.NoError(t, WriteFile(path, []byte("one")))
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o644), info.Mode().Perm(), "a new file can be read by all")

	for _, mode := range []fs.FileMode{0o600, 0o640, 0o666, 0o755} {
		require.NoError(t, os.Chmod(path, mode))
		require.NoError(t, WriteFile(path, []byte("two")))
		info, err = os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, mode, info.Mode().Perm())
	}

	// A link stays a link, and what it points to is written.
	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink(path, link))
	require.NoError(t, WriteFile(link, []byte("three")))
	info, err = os.Lstat(link)
	require.NoError(t, err)
	assert.Equal(t, fs.ModeSymlink, info.Mode().Type())
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "three", string(got))

	// What may not be written to is left alone, by root too.
	require.NoError(t, os.Chmod(path, 0o444))
	assert.ErrorIs(t, WriteFile(path, []byte("four")), fs.ErrPermission)
	assert.ErrorContains(t, WriteFile(path, []byte("four")), "read-only")
	got, err = os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "three", string(got))

	assert.ErrorContains(t, WriteFile(dir, []byte("x")), "it is a folder")
	assert.ErrorIs(t, WriteFile(filepath.Join(dir, "no", "x"), nil), fs.ErrNotExist)
}

// What is no file is written into and stays what it is: a pipe here, and so
// /dev/stdout and /dev/null.
func TestWriteIntoAPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip("no pipes here:", err)
	}
	read := make(chan string, 1)
	go func() {
		data, _ := os.ReadFile(path)
		read <- string(data)
	}()
	require.NoError(t, WriteFile(path, []byte("through")))
	assert.Equal(t, "through", <-read)
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, fs.ModeNamedPipe, info.Mode().Type())
}

// A disk that is full says so, and not only once.
func TestWriteIntoWhatIsFull(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("no /dev/full here")
	}
	assert.ErrorIs(t, WriteFile("/dev/full", []byte("x")), syscall.ENOSPC)
}

// The owner stays where root writes.
func TestOwnerStays(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give files away")
	}
	path := filepath.Join(t.TempDir(), "x")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	require.NoError(t, os.Chown(path, 1234, 1235))
	require.NoError(t, WriteFile(path, []byte("new")))
	info, err := os.Stat(path)
	require.NoError(t, err)
	s := info.Sys().(*syscall.Stat_t)
	assert.Equal(t, []uint32{1234, 1235}, []uint32{s.Uid, s.Gid})
}

// Nothing else in this module writes files: a slip there would lose what somebody
// has, and this is where that is tested.
func TestNothingElseWrites(t *testing.T) {
	allowed := map[string]string{
		"network/rigfile/document/file.go": "the writer",
		"sim/diagnose/jobcard/append.go":   "an empty file beside a card says that somebody is writing",
		"testdata/checks/page/main.go":     "a page of this repository, and a folder of its own that is taken away again",
		"wasm/opening/files.go":            "a browser's own files, which are handed to the person",
		"wasm/serve/site/compile.go":       "a folder of its own that is taken away again",
		"testdata/mutate/main.go":          "a test's own copy of the source",
	}
	writes := regexp.MustCompile(`\bos\.(WriteFile|Create|CreateTemp|OpenFile|Rename|Truncate|Remove|RemoveAll|MkdirTemp)\b|ioutil\.`)
	comments := regexp.MustCompile(`(?m)//.*$`)
	root := filepath.Join("..", "..", "..")
	seen := 0
	require.NoError(t, filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() && path != root && strings.HasPrefix(e.Name(), ".") {
			return filepath.SkipDir
		}
		name, err := filepath.Rel(root, path)
		if err != nil || filepath.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		seen++
		if _, ok := allowed[filepath.ToSlash(name)]; !ok && !bytes.Contains(text, []byte("\"testing\"\n")) {
			assert.Empty(t, writes.FindAllString(comments.ReplaceAllString(string(text), ""), -1), "%s writes by itself; use document.WriteFile", name)
		}
		return nil
	}))
	assert.Greater(t, seen, 200)
}
