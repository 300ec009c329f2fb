// Command corewasm is the kitchen's core as WebAssembly behind one JavaScript function, bytes in and bytes out.
//
// It sets globalThis.brinebell = {step(header, blob), words(lang), fingerprint()}. What crosses is laid out in
// internal/core/sections.go. A panic becomes a fault section: the worker then starts the core again from the shelf.
package main

import (
	"syscall/js"

	"brinebell/internal/core"
	"brinebell/internal/core/words"
)

func main() {
	d := new(door)
	js.Global().Set("brinebell", js.ValueOf(map[string]any{
		"step":        js.FuncOf(d.step),
		"words":       js.FuncOf(pageWords),
		"fingerprint": js.FuncOf(fingerprint),
	}))
	select {}
}

// door holds the one core of this instance; a start makes it, and again from what the one before has read.
type door struct {
	core *core.Core
}

func (d *door) step(_ js.Value, args []js.Value) (answer any) {
	defer func() {
		if why := recover(); why != nil {
			d.core = nil
			answer = toJS(core.AppendFault(nil, reason(why)))
		}
	}()
	return toJS(d.take(args[0].String(), fromJS(args[1])))
}

// take steps the core once. What it cannot read is a fault too: then the worker and the core are of two versions.
func (d *door) take(header string, blob []byte) []byte {
	cfg, in, err := core.ReadHeader([]byte(header))
	if err != nil {
		return core.AppendFault(nil, err.Error())
	}
	switch in.Op {
	case core.OpStart:
		if in.Stored, err = core.ReadStored(blob); err != nil {
			return core.AppendFault(nil, err.Error())
		}
		if d.core != nil {
			d.core = d.core.Again(cfg)
		} else {
			d.core = core.New(cfg)
		}
	case core.OpFrame, core.OpLog, core.OpNight, core.OpPlan, core.OpPlanned:
		in.Frame = blob
	}
	if d.core == nil {
		return core.AppendFault(nil, "the core was not started")
	}
	out := d.core.Step(in)
	return core.AppendOutcome(nil, &out)
}

func pageWords(_ js.Value, args []js.Value) any {
	return string(words.Page(words.Of(args[0].String())))
}

func fingerprint(js.Value, []js.Value) any { return core.Fingerprint() }

func reason(why any) string {
	switch v := why.(type) {
	case error:
		return v.Error()
	case string:
		return v
	}
	return "a panic without words"
}

func fromJS(v js.Value) []byte {
	if v.IsNull() || v.IsUndefined() {
		return nil
	}
	b := make([]byte, v.Get("length").Int())
	js.CopyBytesToGo(b, v)
	return b
}

func toJS(b []byte) js.Value {
	v := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(v, b)
	return v
}
