package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"regexp"
	"strconv"
	"strings"
	"time"

	"brinebell/internal/fail"
)

// assets are the files of the built front end. Their bytes stay in the program's own image.
type assets struct {
	files fs.FS
	page  *asset
	byURL map[string]*asset
}

// asset is one file in the forms in which it can be sent.
type asset struct {
	name      string
	kind      string // Content-Type
	tag       string // ETag
	encodings map[string]bool
	fixed     bool // its name holds its hash: it never changes
	packed    bool // only compressed forms are there; few browsers ever ask for the plain one
	worker    bool
}

// listed is an element of files.json.
type listed struct {
	Path string `json:"path"`
	Hash string `json:"hash"`
	Type string `json:"type"`
}

const listName = "files.json"

// newAssets reads what there is. A front end that was never built has no page, and is no error here.
func newAssets(files fs.FS) (*assets, error) {
	a := &assets{files: files, byURL: map[string]*asset{}}
	if files == nil {
		return a, nil
	}
	list, err := a.list()
	if err != nil {
		return nil, err
	}
	for _, l := range list {
		if err := a.add(l); err != nil {
			return nil, err
		}
	}
	a.page = a.byURL["/index.html"]
	return a, nil
}

// Built is nil if the front end was built into files.
func Built(files fs.FS) error {
	if _, err := fs.Stat(files, "index.html"); err != nil {
		return fail.E("web.Built", fail.Missing, unbuilt, err)
	}
	return nil
}

// list reads files.json, or without one takes all files there are.
func (a *assets) list() ([]listed, error) {
	var list []listed
	b, err := fs.ReadFile(a.files, listName)
	if err == nil {
		if err := json.Unmarshal(b, &list); err != nil {
			return nil, fail.E("web.list", fail.Damaged, "The built front end's "+listName+" cannot be read. Build it again with: make build", err)
		}
		return list, nil
	}
	err = fs.WalkDir(a.files, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && !strings.HasSuffix(name, ".br") && !strings.HasSuffix(name, ".gz") && path.Base(name)[0] != '.' {
			list = append(list, listed{Path: name})
		}
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return list, err
}

func (a *assets) has(name string) bool {
	_, err := fs.Stat(a.files, name)
	return err == nil
}

func (a *assets) add(l listed) error {
	name := strings.TrimPrefix(l.Path, "/")
	if !a.has(name) && !a.has(name+suffixes["gzip"]) {
		// The list may name addresses rather than files.
		name = strings.TrimPrefix(name, "assets/")
	}
	f := &asset{name: name, kind: l.Type, encodings: map[string]bool{}}
	b, err := fs.ReadFile(a.files, name)
	if err != nil {
		b, err = fs.ReadFile(a.files, name+suffixes["gzip"])
		f.packed = true
	}
	if err != nil {
		return fail.E("web.add", fail.Damaged, "The built front end lacks "+l.Path+", which its list names. Build it again with: make build", err)
	}
	hash := sha256.Sum256(b)
	f.tag = hex.EncodeToString(hash[:12])
	if f.kind == "" {
		f.kind = typeOf(name)
	}
	for enc, suffix := range suffixes {
		if a.has(name + suffix) {
			f.encodings[enc] = true
		}
	}
	url := "/" + name
	if top := path.Base(name); name != "index.html" && top != "sw.js" && top != "manifest.webmanifest" {
		url, f.fixed = "/assets/"+strings.TrimPrefix(name, "assets/"), hashed.MatchString(top)
	}
	f.worker = strings.HasPrefix(path.Base(name), "worker.")
	a.byURL[url] = f
	return nil
}

// hashed are the names that hold a hash of their content.
var hashed = regexp.MustCompile(`\.[0-9A-Za-z]{8,}\.[0-9a-z]+$`)

// suffixes are the file name endings of what was compressed at build time.
var suffixes = map[string]string{"br": ".br", "gzip": ".gz"}

// typeOf knows the types that matter by itself: the system's table may say otherwise, or nothing.
func typeOf(name string) string {
	switch path.Ext(name) {
	case ".html":
		return "text/html; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	case ".webmanifest":
		return "application/manifest+json"
	case ".json":
		return "application/json"
	case ".svg":
		return "image/svg+xml"
	case ".woff":
		return "font/woff"
	case ".woff2":
		return "font/woff2"
	}
	if t := mime.TypeByExtension(path.Ext(name)); t != "" {
		return t
	}
	return "application/octet-stream"
}

func (s *Site) asset(w http.ResponseWriter, r *http.Request) error {
	f := s.assets.byURL[r.URL.Path]
	if f == nil {
		// Never the page in place of a file: a browser would keep it as one.
		return fail.E("web.asset", fail.Missing, "There is no such file in this version of the app.", nil)
	}
	return s.sendAsset(w, r, f)
}

func (s *Site) page(w http.ResponseWriter, r *http.Request) error {
	if s.assets.page == nil {
		return &answer{http.StatusServiceUnavailable, "unbuilt", unbuilt}
	}
	return s.sendAsset(w, r, s.assets.page)
}

const unbuilt = "This Brinebell was built without its screens. Build it with: make build"

func (s *Site) sendAsset(w http.ResponseWriter, r *http.Request, f *asset) error {
	h := w.Header()
	encoding := negotiate(r.Header.Get("Accept-Encoding"), f.encodings)
	content, err := s.assets.open(f, encoding)
	if err != nil {
		return err
	}
	defer func() { _ = content.Close() }() // only read
	h.Set("Content-Type", f.kind)
	h.Set("Cache-Control", "no-cache")
	if f.fixed {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	h.Set("ETag", `"`+f.tag+encoding+`"`)
	h.Set("Content-Security-Policy", policy(csp, r))
	if f.worker {
		h.Set("Content-Security-Policy", policy(workerCSP, r))
	}
	if encoding != "" {
		h.Set("Content-Encoding", encoding)
	}
	http.ServeContent(w, r, "", time.Time{}, content)
	return nil
}

// open returns an asset in one of its forms.
func (a *assets) open(f *asset, encoding string) (io.ReadSeekCloser, error) {
	if f.packed && encoding == "" {
		return a.unpacked(f)
	}
	file, err := a.files.Open(f.name + suffixes[encoding])
	if err != nil {
		return nil, err
	}
	content, ok := file.(io.ReadSeekCloser)
	if !ok {
		return nil, errors.New("web: the front end's files cannot be sought in")
	}
	return content, nil
}

// unpacked returns the plain form of an asset of which only compressed ones are there.
func (a *assets) unpacked(f *asset) (io.ReadSeekCloser, error) {
	file, err := a.files.Open(f.name + suffixes["gzip"])
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }() // only read
	packed, err := gzip.NewReader(file)
	if err != nil {
		return nil, err
	}
	b, err := io.ReadAll(packed)
	return held{bytes.NewReader(b)}, err
}

// held is content in memory: there is nothing to close.
type held struct{ *bytes.Reader }

// Close does nothing.
func (held) Close() error { return nil }

// negotiate picks the smallest form that the browser takes (RFC 9110, section 12.5.3); "" is the plain one.
func negotiate(accept string, have map[string]bool) string {
	for _, enc := range []string{"br", "gzip"} {
		if have[enc] && takes(accept, enc) {
			return enc
		}
	}
	return ""
}

func takes(accept, encoding string) bool {
	star := false
	for part := range strings.SplitSeq(accept, ",") {
		name, params, _ := strings.Cut(part, ";")
		wanted := quality(params) > 0
		switch strings.ToLower(strings.TrimSpace(name)) {
		case encoding:
			return wanted
		case "*":
			star = wanted
		}
	}
	return star
}

func quality(params string) float64 {
	for p := range strings.SplitSeq(params, ";") {
		if k, v, ok := strings.Cut(strings.TrimSpace(p), "="); ok && strings.EqualFold(k, "q") {
			q, err := strconv.ParseFloat(v, 64)
			if err != nil {
				return 0
			}
			return q
		}
	}
	return 1
}
