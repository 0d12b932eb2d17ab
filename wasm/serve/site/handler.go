package site

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strconv"
	"strings"
	"sync"
)

// Handler serves the files of the site with these headers, compressed by gzip where the
// browser takes that, and nothing else: a name that is not one of them is not found, so
// there is no folder to list and no way out.
func (s *Site) Handler(headers map[string]string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		for key, value := range headers {
			h.Set(key, value)
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			h.Set("Allow", "GET, HEAD")
			http.Error(w, "only GET and HEAD", http.StatusMethodNotAllowed)
			return
		}
		name := strings.TrimPrefix(r.URL.Path, "/")
		if name == "" {
			name = "index.html"
		}
		f, ok := s.Files[name]
		if !ok {
			http.NotFound(w, r)
			return
		}
		h.Set("Content-Type", f.Type)
		h.Set("Cache-Control", f.cache())
		h.Set("Vary", "Accept-Encoding")
		data, tag := f.Data, f.Sum[:16]
		if accepts(r.Header.Get("Accept-Encoding"), "gzip") {
			data, tag = s.gzip(name), tag+"-gzip"
			h.Set("Content-Encoding", "gzip")
		}
		h.Set("ETag", `"`+tag+`"`)
		if match := r.Header.Get("If-None-Match"); match != "" && strings.Contains(match, `"`+tag+`"`) {
			h.Del("Content-Encoding")
			w.WriteHeader(http.StatusNotModified)
			return
		}
		h.Set("Content-Length", strconv.Itoa(len(data)))
		if r.Method == http.MethodHead {
			return
		}
		_, _ = w.Write(data) // who went away needs no answer
	})
}

// accepts reports whether a list of codings (RFC 9110, section 12.5.3) has this one,
// and not at quality zero.
func accepts(list, coding string) bool {
	for item := range strings.SplitSeq(list, ",") {
		name, quality, _ := strings.Cut(strings.TrimSpace(item), ";")
		if !strings.EqualFold(strings.TrimSpace(name), coding) {
			continue
		}
		_, q, given := strings.Cut(strings.ReplaceAll(quality, " ", ""), "q=")
		if !given {
			return true
		}
		x, err := strconv.ParseFloat(q, 64)
		return err == nil && x > 0
	}
	return false
}

// gzip is a file compressed, which is done once.
func (s *Site) gzip(name string) []byte {
	pack, _ := s.packed.LoadOrStore(name, sync.OnceValue(func() []byte { return Gzip(s.Files[name].Data) }))
	return pack.(func() []byte)()
}

// Gzip compresses as small as it goes, as [Site.Handler] does.
func Gzip(data []byte) []byte {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return data // the level is one of those it takes
	}
	_, _ = w.Write(data) // a buffer takes everything
	_ = w.Close()
	return b.Bytes()
}
