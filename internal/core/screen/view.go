package screen

import "brinebell/internal/core/stamp"

// View returns the screen at ctx.Path as JSON.
func View(ctx *Context) []byte { return nil }

// Next returns the instant at which this view, or what this device rings, changes by itself; 0 when never.
func Next(ctx *Context) stamp.Milli { return 0 }

// Ring returns what rings now and what will, as JSON.
func Ring(ctx *Context) []byte { return nil }
