import assert from "node:assert/strict";
import { test } from "node:test";
import { canAsk, join, joinScreen, Unjoined, wishOf } from "./join.js";

const words = {
  lang: "en",
  join_title: "Join",
  join_lead: "Ask",
  join_code: "Code",
  join_name: "Name",
  join_button: "Go",
  join_wait: "Wait {0} s",
  store_lost: "Lost",
  revoked: "Taken off: {0}",
  join_auto: "By itself",
  join_busy: "Asking",
};
const how = { busy: false, lost: false, trouble: null, auto: false, now: { kitchen: 1, mono: 2, pace: 1 } };

/** kitchen answers fetches from a list, in order. */
function kitchen(...answers) {
  const asked = [];
  globalThis.fetch = async (path, init) => {
    asked.push({ path, ...init });
    const next = answers.shift();
    if (next instanceof Error) throw next;
    return { ...next, ok: next.status < 400, headers: new Headers(next.headers), json: async () => next.body };
  };
  return asked;
}
const hello = { status: 200, body: { kitchen: "Halfmoon Ferry Canteen", generation: "g1" } };

test("what is typed lives in the address", () => {
  assert.deepEqual(wishOf("/join?code=ab-2k&name=Grill"), { code: "AB-2K", name: "Grill", wall: false });
  assert.deepEqual(wishOf("/join?wall=1"), { code: "", name: "", wall: true });
  assert.equal(canAsk(wishOf("/join?code=ab")), false);
  assert.equal(canAsk(wishOf("/join?code=ab%202k")), true);
});

test("the button appears once there is a code, or when the demo needs none", () => {
  const has = (screen) => screen.parts.some((part) => part.p === "buttons");
  assert.equal(has(joinScreen("/join", words, how)), false);
  assert.equal(has(joinScreen("/join?code=AB2K", words, how)), true);
  assert.equal(has(joinScreen("/", words, { ...how, auto: true })), true);
  assert.equal(has(joinScreen("/join?code=AB2K", words, { ...how, busy: true })), false);
});

test("troubles and a lost store stand first", () => {
  const { parts } = joinScreen("/join", words, { ...how, lost: true, trouble: new Unjoined("join_wait", "40") });
  assert.deepEqual(
    parts.slice(0, 2).map((part) => part.title),
    ["Lost", "Wait 40 s"],
  );
});

test("joining brings the key together with the kitchen it belongs to", async () => {
  const asked = kitchen(hello, { status: 200, body: { device: "d1", key: "k1" } });
  const pairing = await join({ code: "AB2K", name: "Grill", wall: false });
  assert.deepEqual(pairing, { device: "d1", key: "k1", kitchen: "Halfmoon Ferry Canteen", generation: "g1" });
  assert.deepEqual(
    asked.map(({ path, method }) => `${method ?? "GET"} ${path}`),
    ["GET /hello", "POST /join"],
  );
  assert.deepEqual(JSON.parse(asked[1].body), { code: "AB2K", name: "Grill", wall: false });
  for (const { signal } of asked) assert.ok(signal instanceof AbortSignal, "every fetch has a timeout");
});

test("refusals come back as the sentence that fits", async () => {
  const cases = [
    [[new TypeError("no route")], "join_offline"],
    [[hello, { status: 403 }], "join_wrong"],
    [[hello, { status: 429, headers: { "retry-after": "40" } }], "join_wait"],
    [[hello, { status: 503 }], "join_offline"],
  ];
  for (const [answers, word] of cases) {
    kitchen(...answers);
    await assert.rejects(
      join({ code: "AB2K", name: "", wall: false }),
      (err) => err.word === word && (word !== "join_wait" || err.fill === "40"),
    );
  }
});

test("a device that was taken off says so, and by whom", () => {
  const { parts } = joinScreen("/", words, { ...how, out: "Halfmoon Ferry Canteen" });
  assert.equal(parts[0].title, "Taken off: Halfmoon Ferry Canteen");
  assert.equal(joinScreen("/", words, how).parts[0].title, undefined);
});
