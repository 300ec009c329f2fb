import assert from "node:assert/strict";
import { test } from "node:test";
import { Seat } from "./seat.js";

const settle = () => new Promise((resolve) => setImmediate(resolve));

/** A browser stands in for one origin's tabs: a channel, the lock, the shelf's epoch and a clock. */
function browser({ locks = true } = {}) {
  const it = { time: 0, tabs: [], epoch: 0, queue: [], holder: null };
  const manager = {
    request(_name, options, callback) {
      return new Promise((resolve, reject) => {
        const wish = { callback, resolve, reject, frozen: false };
        if (options.steal && it.holder) {
          it.holder.reject(Object.assign(new Error("stolen"), { name: "AbortError" }));
          it.holder = null;
          grant(wish);
        } else if (it.holder) it.queue.push(wish);
        else grant(wish);
      });
    },
  };
  const grant = (wish) => {
    it.holder = wish;
    wish.callback().then((value) => {
      if (it.holder !== wish) return;
      it.holder = null;
      wish.resolve(value);
      const next = it.queue.shift();
      if (next) grant(next);
    });
  };
  it.open = (visible = true) => {
    const tab = { log: [], frozen: false };
    const id = `tab${it.tabs.length}`;
    tab.seat = new Seat(
      id,
      {
        locks: locks ? manager : undefined,
        now: () => it.time,
        post: (message) => {
          for (const other of it.tabs) if (other !== tab && !other.frozen) other.seat.hear(message);
        },
        claim: async () => ++it.epoch,
      },
      { taken: () => tab.log.push("taken"), lost: () => tab.log.push("lost") },
    );
    tab.seat.show(visible);
    it.tabs.push(tab);
    tab.seat.start();
    return tab;
  };
  it.pass = async (seconds) => {
    for (let i = 0; i < seconds * 2; i++) {
      it.time += 500;
      if (i % 2) for (const tab of it.tabs) if (!tab.frozen) tab.seat.beat();
      await settle();
    }
  };
  it.owners = () => it.tabs.filter((tab) => tab.seat.mine);
  return it;
}

for (const locks of [true, false]) {
  const where = locks ? "with locks" : "without locks (plain http)";

  test(`${where}: of several tabs one owns the core`, async () => {
    const it = browser({ locks });
    for (let i = 0; i < 3; i++) it.open();
    await it.pass(20);
    assert.equal(it.owners().length, 1);
    assert.equal(it.tabs.flatMap((tab) => tab.log).filter((word) => word === "taken").length >= 1, true);
  });

  test(`${where}: a frozen owner loses the seat to a visible tab after three seconds of silence`, async () => {
    const it = browser({ locks });
    const first = it.open();
    await it.pass(2);
    const second = it.open();
    await it.pass(5);
    assert.deepEqual(it.owners(), [first]);
    first.frozen = true;
    await it.pass(2);
    assert.equal(second.seat.mine, false);
    await it.pass(3);
    assert.equal(second.seat.mine, true);
  });

  test(`${where}: the frozen owner steps down when it comes to life`, async () => {
    const it = browser({ locks });
    const first = it.open();
    await it.pass(2);
    const second = it.open();
    await it.pass(2);
    first.frozen = true;
    await it.pass(6);
    first.frozen = false;
    await it.pass(3);
    assert.deepEqual(it.owners(), [second]);
    assert.equal(first.log.at(-1), "lost");
  });

  test(`${where}: a tab that closes hands over at once`, async () => {
    const it = browser({ locks });
    const first = it.open();
    await it.pass(2);
    const second = it.open();
    await it.pass(2);
    first.seat.close();
    it.tabs.splice(it.tabs.indexOf(first), 1);
    await it.pass(2);
    assert.equal(second.seat.mine, true);
  });
}

test("a hidden tab does not steal from an owner that is only silent", async () => {
  const it = browser();
  const first = it.open();
  await it.pass(2);
  const hidden = it.open(false);
  await it.pass(2);
  first.frozen = true;
  await it.pass(20);
  assert.equal(hidden.seat.mine, false);
  hidden.seat.show(true);
  await it.pass(4);
  assert.equal(hidden.seat.mine, true);
});

test("every owner has a higher epoch than the one before", async () => {
  const it = browser();
  const first = it.open();
  await it.pass(2);
  const before = first.seat.epoch;
  const second = it.open();
  first.frozen = true;
  await it.pass(6);
  assert.ok(second.seat.epoch > before);
});
