package screen

import "strings"

// path is an address taken apart: "/batch/ID?g=27.6" is the names "batch" and "ID" and a query.
type path struct {
	names []string
	query []param
}

type param struct{ name, value string }

func parsePath(s string) path {
	var p path
	s, _, _ = strings.Cut(s, "#")
	where, query, _ := strings.Cut(s, "?")
	for name := range strings.SplitSeq(where, "/") {
		if name != "" {
			p.names = append(p.names, unescape(name, false))
		}
	}
	for q := range strings.SplitSeq(query, "&") {
		if q != "" {
			name, value, _ := strings.Cut(q, "=")
			p.query = append(p.query, param{unescape(name, true), unescape(value, true)})
		}
	}
	return p
}

// at returns the i-th name of the path, "" beyond its end.
func (p *path) at(i int) string {
	if i < len(p.names) {
		return p.names[i]
	}
	return ""
}

// rest returns the names of the path from the i-th on.
func (p *path) rest(i int) string {
	if i >= len(p.names) {
		return ""
	}
	return strings.Join(p.names[i:], "/")
}

// get returns the value that the query gives for name.
func (p *path) get(name string) string {
	for _, q := range p.query {
		if q.name == name {
			return q.value
		}
	}
	return ""
}

func (p *path) has(name string) bool {
	for _, q := range p.query {
		if q.name == name {
			return true
		}
	}
	return false
}

// unescape undoes percent-encoding; what is no encoding stays as it is.
func unescape(s string, plus bool) string {
	if !strings.ContainsAny(s, "%+") {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '%' && i+2 < len(s) && nibble(s[i+1]) < 16 && nibble(s[i+2]) < 16:
			b.WriteByte(nibble(s[i+1])<<4 | nibble(s[i+2]))
			i += 2
		case s[i] == '+' && plus:
			b.WriteByte(' ')
		default:
			b.WriteByte(s[i])
		}
	}
	return strings.ToValidUTF8(b.String(), "\uFFFD")
}

func nibble(b byte) byte {
	switch {
	case b >= '0' && b <= '9':
		return b - '0'
	case b >= 'a' && b <= 'f':
		return b - 'a' + 10
	case b >= 'A' && b <= 'F':
		return b - 'A' + 10
	}
	return 0xff
}

// escape makes s fit to stand in a path or a query.
func escape(s string) string {
	const hex = "0123456789ABCDEF"
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-', c == '_', c == '.', c == '~':
			b.WriteByte(c)
		default:
			b.WriteByte('%')
			b.WriteByte(hex[c>>4])
			b.WriteByte(hex[c&15])
		}
	}
	return b.String()
}

// address builds an address from a path and pairs of query names and values; empty values are left out.
func address(where string, pairs ...string) string {
	sep := "?"
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			where += sep + pairs[i] + "=" + escape(pairs[i+1])
			sep = "&"
		}
	}
	return where
}
