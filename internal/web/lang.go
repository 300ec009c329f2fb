package web

import (
	"net/http"
	"strconv"
	"strings"
)

// langOf is the language in which a request is answered when something is wrong: Spanish where Accept-Language (RFC 9110,
// 12.5.4) weighs it above English, else English. The command line sends none.
func langOf(r *http.Request) string {
	best, lang := 0.0, "en"
	for one := range strings.SplitSeq(r.Header.Get("Accept-Language"), ",") {
		tag, rest, _ := strings.Cut(strings.TrimSpace(one), ";")
		weight := 1.0
		if q, ok := strings.CutPrefix(strings.TrimSpace(rest), "q="); ok {
			weight, _ = strconv.ParseFloat(q, 64) // what is no number weighs nothing
		}
		short, _, _ := strings.Cut(strings.ToLower(tag), "-")
		if (short == "en" || short == "es") && weight > best {
			best, lang = weight, short
		}
	}
	return lang
}

// say puts a sentence of this program into a language. What it does not know stays in English.
func say(lang, sentence string) string {
	if lang != "es" {
		return sentence
	}
	for i := range spanish {
		values, ok := match(spanish[i][0], sentence)
		if !ok {
			continue
		}
		out := spanish[i][1]
		for k, v := range values {
			out = strings.Replace(out, "{"+strconv.Itoa(k)+"}", hide(say(lang, v)), 1)
		}
		return show(out)
	}
	return sentence
}

// A value may hold braces itself: they are hidden while the others are filled in.
const hidden = "\x00"

func hide(s string) string { return strings.ReplaceAll(s, "{", hidden) }
func show(s string) string { return strings.ReplaceAll(s, hidden, "{") }

// match takes the values out of a sentence that was made by a pattern with {} where they stand.
func match(pattern, sentence string) (values []string, ok bool) {
	parts := strings.Split(pattern, "{}")
	rest, ok := strings.CutPrefix(sentence, parts[0])
	if !ok || len(parts) == 1 {
		return nil, ok && rest == ""
	}
	for i, part := range parts[1:] {
		at := strings.Index(rest, part)
		if last := i == len(parts)-2; last && strings.HasSuffix(rest, part) {
			at = len(rest) - len(part)
		} else if last {
			at = -1
		}
		if at < 0 {
			return nil, false
		}
		values, rest = append(values, rest[:at]), rest[at+len(part):]
	}
	return values, true
}
