package document

import (
	"fmt"
	"io"
	"io/fs"
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

// WriteFile replaces a file's content in one step: who reads meanwhile sees the
// old content or the new one, and a failure, a full disk, a process that is
// killed or power that is lost leave the old. The file's permissions and owner
// stay, a link stays a link; a file that is read-only is left alone. What is no
// file but, say, /dev/stdout or a pipe is written straight into. All that this
// module writes is written here.
//
// A process that is killed may leave a file beside it, .NAME.new-123456, which
// nobody needs.
func WriteFile(path string, content []byte) error { return writeFile(disk{}, path, content) }

// A writer is a new file beside the one that it will replace.
type writer interface {
	io.Writer
	Name() string
	Chmod(fs.FileMode) error
	Sync() error
	Close() error
}

// files are the steps in which a file is replaced, each of which can fail.
type files interface {
	Create(dir, pattern string) (writer, error)
	KeepOwner(f writer, old fs.FileInfo) error
	Rename(from, to string) error
	Remove(name string) error
	SyncDir(dir string) error
}

func writeFile(on files, path string, content []byte) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mode := fs.FileMode(0o644)
	old, err := os.Stat(path)
	switch {
	case err != nil:
		old = nil // a new file, or a folder that Create will say it cannot find
	case old.IsDir():
		return &fs.PathError{Op: "write", Path: path, Err: fmt.Errorf("it is a folder; name a file in it")}
	case !old.Mode().IsRegular():
		return writeInto(path, content)
	case old.Mode()&0o200 == 0:
		return &fs.PathError{Op: "write", Path: path, Err: fmt.Errorf("it is read-only; write to another name, or let it be written to: %w", fs.ErrPermission)}
	default:
		mode = old.Mode().Perm()
	}
	f, err := on.Create(filepath.Dir(path), "."+filepath.Base(path)+".new-*")
	if err != nil {
		return err
	}
	err = put(on, f, content, mode, old)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = on.Rename(f.Name(), path)
	}
	if err != nil {
		_ = on.Remove(f.Name()) // it is of no use to anybody
		return err
	}
	_ = on.SyncDir(filepath.Dir(path)) // the rename itself, where a folder can be synced
	return nil
}

// put makes a new file all that it is to be, down to the disk.
func put(on files, f writer, content []byte, mode fs.FileMode, old fs.FileInfo) error {
	if n, err := f.Write(content); err != nil {
		return err
	} else if n < len(content) {
		return io.ErrShortWrite
	}
	if old != nil {
		if err := on.KeepOwner(f, old); err != nil {
			return err
		}
	}
	if err := f.Chmod(mode); err != nil { // after the owner, who could take bits away
		return err
	}
	return f.Sync()
}

// writeInto writes into what is no file and cannot be replaced.
func writeInto(path string, content []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}

// disk is where files really are.
type disk struct{}

func (disk) Create(dir, pattern string) (writer, error) { return os.CreateTemp(dir, pattern) }
func (disk) Rename(from, to string) error               { return os.Rename(from, to) }
func (disk) Remove(name string) error                   { return os.Remove(name) }

func (disk) SyncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}
