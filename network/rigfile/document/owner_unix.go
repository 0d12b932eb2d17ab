//go:build unix

package document

import (
	"io/fs"
	"os"
	"syscall"
)

// KeepOwner gives a new file the owner of the old one. Who may not do so is not
// root, and then the file was theirs or is theirs now, as with any editor.
func (disk) KeepOwner(f writer, old fs.FileInfo) error {
	s, ok := old.Sys().(*syscall.Stat_t)
	if !ok || os.Geteuid() != 0 {
		return nil
	}
	return os.Chown(f.Name(), int(s.Uid), int(s.Gid))
}
