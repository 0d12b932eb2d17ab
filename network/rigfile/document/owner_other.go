//go:build !unix

package document

import "io/fs"

// KeepOwner does nothing where files have no owner by number.
func (disk) KeepOwner(writer, fs.FileInfo) error { return nil }
