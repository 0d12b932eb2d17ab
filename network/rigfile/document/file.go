package document

import (
	"cmp"
	"io"
	"os"
	"path/filepath"
)

// ReadFile reads a file's bytes, one more than [MaxSize] at most: enough for
// [Source.Read] to refuse it.
func ReadFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, MaxSize+1))
}

// WriteFile replaces a file's text in one step: who reads meanwhile sees the old
// text or the new one, and a failure leaves the old. The file's permissions
// stay; a link stays a link.
func WriteFile(path string, text []byte) (err error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mode := os.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".write-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	_, err = f.Write(text)
	err = cmp.Or(err, f.Chmod(mode), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return err
	}
	if dir, err := os.Open(filepath.Dir(path)); err == nil { // the rename itself, where a folder can be synced
		_ = dir.Sync()
		dir.Close()
	}
	return nil
}
