package site

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/andybalholm/brotli"

	"quietpump/network/rigfile/document"
)

// Write puts the site into a folder for any web server to host: the files, beside
// each the same compressed by brotli for servers that hand those out, and in
// headers.txt what should be sent with them. The page states all of its policy
// itself but for who may frame it. Files of the folder that are not the site's are
// left alone. Each file is replaced in one step, and what asks for others comes
// last: a site that is being served stays whole, and stays the old one where
// writing fails.
func (s *Site) Write(dir string, headers map[string]string) error {
	names := slices.SortedFunc(maps.Keys(s.Files), func(a, b string) int {
		if last := s.Files[b].Lasts; s.Files[a].Lasts != last {
			if last {
				return 1
			}
			return -1
		}
		return strings.Compare(b, a) // worker.js before index.html
	})
	for _, name := range names {
		f := s.Files[name]
		to := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return fmt.Errorf("site: %w", err)
		}
		if err := document.WriteFile(to, f.Data); err != nil {
			return fmt.Errorf("site: %w", err)
		}
		if err := document.WriteFile(to+".br", Brotli(f.Data)); err != nil {
			return fmt.Errorf("site: %w", err)
		}
	}
	var b strings.Builder
	b.WriteString("With every file:\n\n")
	for _, key := range slices.Sorted(maps.Keys(headers)) {
		fmt.Fprintf(&b, "%s: %s\n", key, headers[key])
	}
	fmt.Fprintf(&b, "\nWith %s/*:\n\nCache-Control: %s\n", s.Dir, File{Lasts: true}.cache())
	fmt.Fprintf(&b, "\nWith index.html and worker.js:\n\nCache-Control: %s\n", File{}.cache())
	b.WriteString("\nContent types:\n\n")
	for _, ext := range slices.Sorted(maps.Keys(types)) {
		fmt.Fprintf(&b, "%s: %s\n", ext, types[ext])
	}
	if err := document.WriteFile(filepath.Join(dir, "headers.txt"), []byte(b.String())); err != nil {
		return fmt.Errorf("site: %w", err)
	}
	return nil
}

// Brotli compresses as small as it goes, as [Site.Write] does; for the program that takes
// a minute.
func Brotli(data []byte) []byte {
	var b bytes.Buffer
	w := brotli.NewWriterOptions(&b, brotli.WriterOptions{Quality: brotli.BestCompression, LGWin: 24})
	_, _ = w.Write(data) // a buffer takes everything
	_ = w.Close()
	return b.Bytes()
}
