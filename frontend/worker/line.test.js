import assert from "node:assert/strict";
import { test } from "node:test";
import { Line, pack, redialAfter, unpack } from "./line.js";

/** A stage is a world with a clock of its own: timers run when a test lets time pass. */
function stage() {
  const it = {
    time: 0,
    sockets: [],
    timers: new Map(),
    next: 1,
    luck: 0,
    world: {
      dial: (url) => {
        const socket = { url, sent: [], closed: false, close: () => (socket.closed = true), send: (frame) => socket.sent.push([...frame]) };
        it.sockets.push(socket);
        return socket;
      },
      now: () => it.time,
      chance: () => it.luck,
      later: (run, ms) => {
        it.timers.set(it.next, { run, at: it.time + ms });
        return it.next++;
      },
      forget: (id) => it.timers.delete(id),
    },
    pass(ms) {
      const end = it.time + ms;
      for (;;) {
        const due = [...it.timers].filter(([, { at }]) => at <= end).sort((a, b) => a[1].at - b[1].at)[0];
        if (!due) break;
        it.timers.delete(due[0]);
        it.time = due[1].at;
        due[1].run();
      }
      it.time = end;
    },
    get socket() {
      return it.sockets.at(-1);
    },
  };
  return it;
}

function lineOn(it) {
  const heard = { opened: 0, shut: 0, frames: [] };
  const line = new Line(
    "ws://kitchen/line",
    {
      opened: () => heard.opened++,
      shut: () => heard.shut++,
      frame: (bytes) => heard.frames.push([...bytes]),
    },
    it.world,
  );
  line.start();
  return { line, heard };
}

const settle = () => new Promise((resolve) => setImmediate(resolve));
const message = (...bytes) => ({ data: new Uint8Array(bytes).buffer });

test("waits between dials grow from 0.25 s to at most 10 s, spread by chance", () => {
  for (let failures = 0; failures < 20; failures++) {
    for (const chance of [0, 0.3, 0.999_999]) {
      const wait = redialAfter(failures, chance);
      assert.ok(wait >= 250 && wait <= 10_000, `${failures} ${chance} ${wait}`);
    }
  }
  assert.equal(redialAfter(0, 0.9), 250);
  assert.equal(redialAfter(9, 0), 250);
  assert.ok(redialAfter(9, 0.99) > 9_500);
});

test("a line opens, carries frames both ways and says when it is shut", async () => {
  const it = stage();
  const { line, heard } = lineOn(it);
  it.socket.onopen();
  line.send(new Uint8Array([1, 2]));
  it.socket.onmessage(message(3, 4));
  await settle();
  assert.deepEqual(it.socket.sent, [[1, 2]]);
  assert.deepEqual(heard.frames, [[3, 4]]);
  it.socket.onclose();
  assert.deepEqual([heard.opened, heard.shut], [1, 1]);
});

test("12 s of silence are a dead path: the socket is let go without its close event, and dialled anew", () => {
  const it = stage();
  const { heard } = lineOn(it);
  const first = it.socket;
  first.onopen();
  it.pass(11_900);
  assert.equal(heard.shut, 0);
  it.pass(1_500);
  assert.equal(heard.shut, 1);
  assert.equal(first.onclose, null);
  assert.equal(first.closed, true);
  it.pass(10_000);
  assert.ok(it.sockets.length >= 2);
});

test("a dial that nobody answers is given up after 12 s, and the next one begins", () => {
  const it = stage();
  const { heard } = lineOn(it);
  const first = it.socket;
  it.pass(11_900);
  assert.equal(it.sockets.length, 1);
  it.pass(1_500);
  assert.equal(it.sockets.length, 2);
  assert.deepEqual([first.closed, first.onopen], [true, null], "and opens too late");
  it.socket.onopen();
  assert.deepEqual([heard.opened, heard.shut], [1, 0]);
});

test("frames keep a line alive", () => {
  const it = stage();
  const { heard } = lineOn(it);
  it.socket.onopen();
  for (let i = 0; i < 10; i++) {
    it.pass(5_000);
    it.socket.onmessage(message(1));
  }
  assert.equal(heard.shut, 0);
  assert.equal(it.sockets.length, 1);
});

test("a kitchen that opens and dies at once is not dialled ever faster", () => {
  const it = stage();
  it.luck = 0.999;
  lineOn(it);
  const waits = [];
  for (let i = 0; i < 8; i++) {
    const before = it.time;
    it.socket.onopen();
    it.socket.onclose();
    const count = it.sockets.length;
    while (it.sockets.length === count) it.pass(50);
    waits.push(it.time - before);
  }
  assert.ok(waits[7] > 9_000, `${waits}`);
});

test("a frame that arrives on a socket let go is not heard", async () => {
  const it = stage();
  const { line, heard } = lineOn(it);
  const first = it.socket;
  first.onopen();
  const arrive = first.onmessage;
  line.redial();
  arrive(message(9));
  await settle();
  assert.deepEqual(heard.frames, []);
});

test("a stopped line stays silent and dials no more", () => {
  const it = stage();
  const { line, heard } = lineOn(it);
  it.socket.onopen();
  line.stop();
  it.pass(60_000);
  assert.equal(it.sockets.length, 1);
  assert.equal(heard.shut, 1);
});

test("a look at the phone dials at once when the line is down", () => {
  const it = stage();
  it.luck = 0.999;
  const { line } = lineOn(it);
  for (let i = 0; i < 6; i++) {
    it.socket.onclose?.();
    it.pass(8_000);
  }
  it.socket.onclose?.();
  const count = it.sockets.length;
  it.pass(2_100);
  assert.equal(it.sockets.length, count);
  line.hurry();
  assert.equal(it.sockets.length, count + 1);
  line.hurry();
  assert.equal(it.sockets.length, count + 1, "one dial is under way already");
});

test("big frames are packed and come back whole, in order with small ones", async () => {
  const big = new Uint8Array(50_000).map((_, i) => i % 7);
  big[0] = 5;
  const packed = await pack(big);
  assert.equal(packed[0], 0x7f);
  assert.ok(packed.length < 2_000);
  assert.deepEqual(await unpack(packed), big);
  const small = new Uint8Array([5, 6]);
  assert.equal(await pack(small), small);
  assert.equal(await unpack(small), small);

  const it = stage();
  const { heard } = lineOn(it);
  it.socket.onopen();
  it.socket.onmessage({ data: packed.buffer });
  it.socket.onmessage(message(8, 8));
  for (let i = 0; i < 500 && heard.frames.length < 2; i++) await new Promise((resolve) => setTimeout(resolve, 2));
  assert.deepEqual(
    heard.frames.map((f) => f.length),
    [50_000, 2],
  );
});

test("a packed frame that grows past the limit, or is damaged, is refused", async () => {
  const packed = await pack(new Uint8Array(2 << 20).fill(1));
  await assert.rejects(unpack(packed, 1 << 20), /grew past 1048576 bytes/);
  await assert.rejects(unpack(new Uint8Array([0x7f, 255, 255, 255, 255])));
});
