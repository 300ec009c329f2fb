import assert from "node:assert/strict";
import { test } from "node:test";
import { Broken } from "./broken.js";
import { Engine, merge } from "./engine.js";
import { emptyOutcome } from "./sections.js";
import { Fenced, MemoryShelf } from "./shelf.js";

const kept = (n, seq = 0) => ({ seq, id: new Uint8Array(16).fill(n), record: new Uint8Array([n]) });
const settle = async () => {
  for (let i = 0; i < 20; i++) await new Promise((resolve) => setImmediate(resolve));
};

/** A rig is an engine among stand-ins that write down, in order, what they were asked. */
function rig(answer = () => ({})) {
  const log = [];
  const it = { log, timers: [], notices: [], orphans: [], starts: 0, doubts: 0, trusted: [], shelf: new MemoryShelf(), steps: [] };
  const keep = it.shelf.keep.bind(it.shelf);
  it.shelf.keep = async (batches) => {
    await it.failing?.();
    await keep(batches);
    log.push(`keep ${batches.flatMap((b) => b.keep.map((k) => k.id[0])).join(",")}`);
  };
  it.engine = new Engine({
    core: {
      start: async (trusting) => {
        it.starts++;
        it.trusted.push(trusting);
      },
      step: (header, blob) => {
        it.steps.push({ header, blob });
        return { ...emptyOutcome(), ...answer(header, blob) };
      },
    },
    shelf: it.shelf,
    line: {
      start: () => log.push("line up"),
      stop: () => log.push("line down"),
      send: (frame) => log.push(`send ${frame[0]}`),
      redial: () => log.push("redial"),
    },
    pairing: { device: "phone", key: "aa", kitchen: "Halfmoon", generation: "g" },
    lang: "es",
    show: (all) => {
      if (all.ring) log.push(`ring ${all.ring.now.length}`);
      for (const screen of all.draw) log.push(`draw ${screen.view} ${screen.path}`);
    },
    notice: (id, on) => it.notices.push(`${id} ${on}`),
    shutOut: () => log.push("shut out"),
    doubted: () => it.doubts++,
    fenced: (orphans) => it.orphans.push(...orphans.map(({ header }) => header.op)),
    later: (run, ms) => it.timers.push({ run, ms }),
    forget: () => {},
  });
  return it;
}

test("start gives the core the pairing and all that is kept", async () => {
  const it = rig();
  await it.shelf.keep([{ keep: [kept(1, 4)], base: null, memory: new Uint8Array([9]) }]);
  await it.engine.start();
  const { header, blob } = it.steps[0];
  assert.equal(header.op, "start");
  assert.equal(header.device, "phone");
  assert.equal(header.key, "aa");
  assert.equal(header.lang, "es");
  assert.ok(blob.length > 30);
});

test("a start shows what is on the shelf before its memory is written, and what it makes of its own not before", async () => {
  for (const own of [false, true]) {
    const it = rig(({ op, view, path }) => {
      if (op === "start") return { memory: new Uint8Array([1]), keep: own ? [kept(1)] : [] };
      return op === "look" ? { draw: [{ view, path }] } : {};
    });
    it.engine.views.set("v", "/");
    let release = () => {};
    it.failing = () => new Promise((resolve) => (release = resolve));
    const begun = it.engine.start();
    await settle();
    assert.deepEqual(it.log, own ? [] : ["draw v /"]);
    release();
    await begun;
    assert.deepEqual(it.log, own ? ["keep 1", "draw v /", "line up"] : ["draw v /", "keep ", "line up"]);
  }
});

test("a start uses what was loaded already, once", async () => {
  const it = rig();
  const seen = [];
  it.shelf.load = async () => {
    seen.push("load");
    return { base: null, memory: null, top: null, tail: [] };
  };
  it.engine.stored = { base: null, memory: new Uint8Array([3]), top: null, tail: [kept(1, 4)] };
  await it.engine.start();
  assert.deepEqual(seen, []);
  assert.ok(it.steps[0].blob.length > 30);
  it.engine.parts.core.step = () => {
    throw new Broken("gone");
  };
  it.engine.push({ op: "tick" });
  await settle();
  assert.ok(seen.length > 0, "after that the shelf holds more");
});

/** Starts an engine over a shelf with a top, whose core breaks down at the first of an op. */
async function startedFromATop(at) {
  let broken = false;
  const it = rig(({ op, view, path }) => {
    if (op === at && !broken) {
      broken = true;
      throw new Broken("out of range");
    }
    return op === "look" ? { draw: [{ view, path }] } : {};
  });
  it.shelf.load = async () => ({ base: null, memory: null, top: new Uint8Array([5, 6]), tail: [] });
  it.engine.views.set("v", "/");
  await it.engine.start();
  it.engine.push({ op: "tick" });
  await settle();
  const starts = it.steps.filter(({ header: { op } }) => op === "start");
  assert.equal(it.doubts, 1, "an image goes too");
  return { ...it, handed: starts.map(({ blob }) => blob.length > 0) };
}

test("a start that breaks down with what was folded before is done again without, and nobody need know", async () => {
  for (const op of ["start", "look"]) {
    const it = await startedFromATop(op);
    assert.deepEqual(it.handed, [true, false]);
    assert.deepEqual(it.trusted, [true, false]);
    assert.deepEqual(it.log, ["draw v /", "line up"]);
    assert.deepEqual(it.notices, []);
  }
});

test("a core that breaks down later is not started from what was folded before", async () => {
  const it = await startedFromATop("tick");
  assert.deepEqual(it.handed, [true, false]);
  assert.deepEqual(it.notices, ["core_fault true"]);
});

test("a tap is kept before it is sent, rung and drawn", async () => {
  const it = rig(({ op, view, path }) =>
    op === "tap" ? { draw: [{ view, path }], ring: { now: [], book: [] }, send: [new Uint8Array([7])], keep: [kept(1)] } : {},
  );
  await it.engine.start();
  it.log.length = 0;
  it.engine.push({ op: "tap", view: "v", path: "/", tap: { do: "count" } });
  await settle();
  assert.deepEqual(it.log, ["keep 1", "send 7", "ring 0", "draw v /"]);
});

test("nothing is sent or drawn while the store has not said that it is durable", async () => {
  const it = rig(({ op }) => (op === "tap" ? { keep: [kept(1)], send: [new Uint8Array([7])] } : {}));
  await it.engine.start();
  it.log.length = 0;
  let release = () => {};
  it.failing = () => new Promise((resolve) => (release = resolve));
  it.engine.push({ op: "tap" });
  await settle();
  assert.deepEqual(it.log, []);
  release();
  await settle();
  assert.deepEqual(it.log, ["keep 1", "send 7"]);
});

test("taps that come while a write is under way share the next transaction", async () => {
  let n = 0;
  const it = rig(({ op }) => (op === "tap" ? { keep: [kept(++n)] } : {}));
  await it.engine.start();
  it.log.length = 0;
  for (let i = 0; i < 4; i++) it.engine.push({ op: "tap" });
  await settle();
  assert.deepEqual(it.log, ["keep 1", "keep 2,3,4"]);
});

test("a full store says so, the bells go on, and the entries are kept once there is room", async () => {
  let n = 0;
  const it = rig(({ op }) => (op === "tap" ? { keep: [kept(++n)], ring: { now: [1], book: [] } } : {}));
  await it.engine.start();
  it.failing = () => {
    throw Object.assign(new Error("no room"), { name: "QuotaExceededError" });
  };
  it.log.length = 0;
  it.engine.push({ op: "tap" });
  await settle();
  assert.deepEqual(it.log, ["ring 1"]);
  assert.deepEqual(it.notices, ["store_full true"]);
  it.failing = undefined;
  it.engine.push({ op: "tick" });
  await settle();
  assert.deepEqual(it.log, ["ring 1", "keep 1"]);
  assert.ok(it.notices.includes("store_full false"));
});

test("a tab that was fenced out stops and hands back what it had not done", async () => {
  const it = rig(({ op, view, path }) => (op === "tap" ? { keep: [kept(1)], draw: [{ view, path }] } : {}));
  await it.engine.start();
  it.failing = () => {
    throw new Fenced();
  };
  it.log.length = 0;
  it.engine.push({ op: "tap", view: "v", path: "/" });
  it.engine.push({ op: "tap", view: "v", path: "/" });
  await settle();
  assert.deepEqual(it.orphans, ["tap", "tap"]);
  assert.deepEqual(it.log, ["line down"]);
  it.engine.push({ op: "tap" });
  await settle();
  assert.deepEqual(it.log, ["line down"]);
});

test("a core that breaks down is started from the shelf, without the input that broke it", async () => {
  let taps = 0;
  const it = rig(({ op, view, path }) => {
    if (op === "tap" && ++taps === 2) throw new Broken("index out of range");
    return op === "look" ? { draw: [{ view, path }] } : op === "tap" ? { keep: [kept(taps)] } : {};
  });
  await it.engine.start();
  it.engine.push({ op: "look", view: "v", path: "/hold" });
  await settle();
  it.log.length = 0;
  for (let i = 0; i < 3; i++) it.engine.push({ op: "tap", view: "v" });
  await settle();
  assert.equal(it.starts, 2);
  assert.deepEqual(it.notices, ["core_fault true"]);
  assert.deepEqual(it.log, ["keep 1", "line down", "draw v /hold", "line up", "keep 3"]);
});

test("rules that break down again and again stay stopped, and the page is told", async () => {
  const it = rig(({ op }) => {
    if (op === "tick") throw new Broken("always");
    return {};
  });
  await it.engine.start();
  for (let i = 0; i < 5; i++) {
    it.engine.push({ op: "tick" });
    await settle();
  }
  assert.equal(it.starts, 4);
  assert.equal(it.notices.at(-1), "core_dead true");
  assert.equal(it.engine.stopped, true);
});

test("the core is stepped when it asks, never later than 10 s and never in a tight loop", async () => {
  let wake = 0;
  const it = rig(() => ({ wake }));
  await it.engine.start();
  assert.equal(it.timers.at(-1).ms, 10_000);
  wake = Date.now() + 3_600_000;
  it.engine.push({ op: "tick" });
  await settle();
  assert.equal(it.timers.at(-1).ms, 10_000);
  wake = Date.now() - 5_000;
  it.engine.push({ op: "tick" });
  await settle();
  assert.equal(it.timers.at(-1).ms, 20);
});

test("the core can ask for the line to be hung up", async () => {
  const it = rig(({ op }) => (op === "frame" ? { cut: "the hashes differ" } : {}));
  await it.engine.start();
  it.engine.push({ op: "frame" }, new Uint8Array([1]));
  await settle();
  assert.ok(it.log.includes("redial"));
});

test("a frame's stamps are those of its arrival", async () => {
  const it = rig();
  await it.engine.start();
  it.engine.push({ op: "frame" }, new Uint8Array([1]), 250);
  await settle();
  const { header } = it.steps.at(-1);
  assert.ok(Date.now() - header.wall >= 250 && Date.now() - header.wall < 2_000);
});

test("merging keeps all frames, and of ring, clock and screens the last", () => {
  const all = merge([
    {
      ...emptyOutcome(),
      send: [1],
      ring: { now: ["a"] },
      draw: [
        { view: "v", n: 1 },
        { view: "w", n: 1 },
      ],
      wake: 5,
    },
    { ...emptyOutcome(), send: [2], draw: [{ view: "v", n: 2 }], clock: { kitchen: 1 } },
  ]);
  assert.deepEqual(all.send, [1, 2]);
  assert.deepEqual(all.ring, { now: ["a"] });
  assert.deepEqual(all.draw, [
    { view: "v", n: 2 },
    { view: "w", n: 1 },
  ]);
  assert.deepEqual(all.clock, { kitchen: 1 });
  assert.equal(all.wake, 5);
});

test("only the word that this device was taken off shuts it out, after all else was done; any other end dials anew", async () => {
  for (const cut of ["revoked", "waiting", "unknown", "full", "restart", "silent", "frame"]) {
    const it = rig(({ op }) => (op === "frame" ? { cut, keep: [kept(1)], draw: [{ view: "v", path: "/" }] } : {}));
    await it.engine.start();
    it.log.length = 0;
    it.engine.push({ op: "frame" }, new Uint8Array([15]));
    await settle();
    assert.deepEqual(it.log, cut === "revoked" ? ["keep 1", "draw v /", "shut out"] : ["keep 1", "redial", "draw v /"], cut);
  }
});

test("a kitchen that does not understand this app is dialled on, and it is said", async () => {
  for (const cut of ["version", "restart"]) {
    const it = rig(({ op }) => (op === "frame" ? { cut } : {}));
    await it.engine.start();
    it.log.length = 0;
    it.engine.push({ op: "frame" }, new Uint8Array([15]));
    await settle();
    assert.deepEqual(it.log, ["redial"]);
    assert.deepEqual(it.notices, cut === "version" ? ["too_old true"] : []);
  }
});

test("what needs the rest of the core waits for it, and all else goes on", async () => {
  let come;
  const whole = new Promise((resolve) => (come = resolve));
  let lacks = true;
  const it = rig((header) => ({ draw: header.op === "look" ? [{ view: header.view, path: header.path }] : [] }));
  Object.assign(it.engine.parts.core, { lacks: ({ op, path }) => lacks && (op === "tap" || path === "/records"), whole: () => whole });
  await it.engine.start();
  it.engine.push({ op: "look", view: "a", path: "/records" });
  it.engine.push({ op: "look", view: "a", path: "/records" });
  it.engine.push({ op: "look", view: "b", path: "/records" });
  it.engine.push({ op: "tap", view: "a", tap: { do: "start" } });
  it.engine.push({ op: "look", view: "b", path: "/" });
  it.engine.push({ op: "tick" });
  await settle();
  assert.deepEqual(it.steps.map(({ header }) => header.op).slice(1), ["look", "tick"]);
  assert.deepEqual(
    it.log.filter((line) => line.startsWith("draw")),
    ["draw b /"],
  );
  lacks = false;
  come();
  await settle();
  assert.deepEqual(
    it.steps.map(({ header }) => header.op).slice(3),
    ["look", "tap"],
    "each once, in its order; who went elsewhere looks no more",
  );
  assert.equal(it.log.at(-1), "draw a /records");
});

test("what waits for the rest goes over to the tab that takes the core", async () => {
  const it = rig(() => ({ keep: [kept(1)] }));
  Object.assign(it.engine.parts.core, { lacks: ({ op }) => op === "tap", whole: () => new Promise(() => {}) });
  await it.engine.start();
  it.engine.push({ op: "tap", view: "a", tap: {} });
  it.failing = () => {
    throw new Fenced();
  };
  it.engine.push({ op: "tick" });
  await settle();
  assert.deepEqual(it.orphans, ["tick", "tap"]);
});
