// Who is on the line: a code lets one device in, and a lead can take any device off.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

test("a code works once; without one a phone gets nothing", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const code = await kitchen.code();
  const maren = await kitchen.phone("Maren", { stranger: true });
  await maren.page.goto(kitchen.server.origin);
  await maren.sees("Ask a lead for a code");
  await maren.joins(code, "Maren");
  await maren.isSavedIn("kitchen");
  const other = await kitchen.phone("Other", { stranger: true });
  await other.asksToJoin(code, "Other");
  await other.sees("does not fit");
});

test("a lead takes a phone off the line: it is shut out within a second and what it says later is set aside", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const [maren, teo] = await kitchen.phones("Maren", "Teo");
  await maren.isHeldBy("Maren");
  await teo.isHeldBy("Teo");
  await teo.isSavedIn("kitchen");
  await maren.revokes("Teo");
  const began = Date.now();
  await teo.sees("took this device off the kitchen", 5000);
  assert.ok(Date.now() - began < 1000, `it took ${Date.now() - began} ms`);
  const before = await maren.state();
  await teo.sees("nothing is kept here");
  await teo.page.goto(kitchen.server.origin);
  await teo.sees("took this device off");
  assert.equal(await maren.state(), before);
});

test("a phone taken off while it was away hands over what it had, then keeps nothing; a dead line alone wipes nothing", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const [maren, teo] = await kitchen.phones("Maren", "Teo");
  await maren.isHeldBy("Maren");
  await teo.isHeldBy("Teo");
  await teo.isSavedIn("kitchen");
  await teo.page.waitForFunction(async () => {
    const folder = await navigator.storage.getDirectory();
    return (await (await folder.getFileHandle("core.image", { create: true })).getFile()).size > 0; // it has been quiet for a little
  });
  await teo.wifi.off();
  await teo.isOutOfTouch();
  await teo.goesWithin("/timer/new?name=Rice");
  await teo.pokes(teo.page.getByRole("button", { name: /^10 min/ }));
  await teo.page.waitForURL((url) => url.pathname !== "/timer/new");
  await shelves(teo);
  await maren.revokes("Teo");
  const held = await onShelf(teo);
  assert.ok(held.waiting > 0 && held.photos === 1 && held.pairing && held.top && held.image, `away, it keeps all: ${JSON.stringify(held)}`);

  await teo.wifi.on();
  await teo.sees("nothing is kept here", 25_000);
  const left = await onShelf(teo);
  assert.deepEqual(left, {
    numbered: 0,
    waiting: 0,
    photos: 0,
    base: false,
    memory: false,
    top: false,
    pairing: false,
    glance: false,
    image: false,
  });
  const answer = await fetch(`${kitchen.server.origin}/photo/${photo}`);
  assert.equal(answer.status, 200, "its photo reached the kitchen first");
  await maren.isSavedIn("kitchen");
  assert.equal(kitchen.server.log.match(/set aside an entry from \w+: revoked/g)?.length, 1);
  await teo.page.reload();
  await teo.sees("took this device off");
  assert.equal((await onShelf(teo)).pairing, false);

  await teo.joins(await kitchen.code(), "Teo again");
  await teo.isSavedIn("kitchen");
  await teo.doesNotSee("took this device off");
});

const pixel = Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==", "base64");
const photo = createHash("sha256").update(pixel).digest("hex");

/** shelves puts a photo on a phone's shelf, as a step does that asks for one while the kitchen is away. */
function shelves(phone) {
  return phone.page.evaluate(
    async ([hash, bytes]) => {
      const db = await new Promise((resolve) =>
        Object.assign(indexedDB.open("brinebell"), { onsuccess: (event) => resolve(event.target.result) }),
      );
      const tx = db.transaction("photos", "readwrite");
      tx.objectStore("photos").put(new Uint8Array(bytes), hash);
      await new Promise((resolve) => Object.assign(tx, { oncomplete: resolve }));
      db.close();
    },
    [photo, [...pixel]],
  );
}

/** onShelf counts what a phone's store holds. */
function onShelf(phone) {
  return phone.page.evaluate(async () => {
    const ask = (request) =>
      new Promise((resolve, reject) =>
        Object.assign(request, { onsuccess: () => resolve(request.result), onerror: () => reject(request.error) }),
      );
    const db = await ask(indexedDB.open("brinebell"));
    const tx = db.transaction(["numbered", "waiting", "photos", "device"]);
    const found = {};
    for (const store of ["numbered", "waiting", "photos"]) found[store] = await ask(tx.objectStore(store).count());
    for (const key of ["base", "memory", "top", "pairing"]) found[key] = (await ask(tx.objectStore("device").get(key))) !== undefined;
    found.glance = Object.keys(localStorage).some((name) => name.startsWith("brinebell.seen"));
    db.close();
    const folder = await navigator.storage.getDirectory();
    found.image = (await (await folder.getFileHandle("core.image", { create: true })).getFile()).size > 0;
    return found;
  });
}

test("foreign hosts and origins are refused on every route", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const { origin } = kitchen.server;
  for (const path of ["/", "/hello", "/join", "/healthz", "/sw.js", "/line", "/photo"]) {
    const foreign = await fetch(origin + path, { headers: { origin: "http://evil.example" } });
    assert.equal(foreign.status, 403, `${path} from a foreign origin`);
  }
});
