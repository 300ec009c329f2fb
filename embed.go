// Package brinebell carries the built front end, so that the server is one file.
package brinebell

import "embed"

// Frontend is frontend/dist as frontend/build.mjs left it; on a clone that was never built it holds no page.
//
//go:embed all:frontend/dist
var Frontend embed.FS
