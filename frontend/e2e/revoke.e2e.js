// Who is on the line: a code lets one device in, and a lead can take any device off.
import assert from "node:assert/strict";
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
  await teo.goes("/");
  await teo.sees("took this device off");
  assert.equal(await maren.state(), before);
});

test("foreign hosts and origins are refused on every route", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const { origin } = kitchen.server;
  for (const path of ["/", "/hello", "/join", "/healthz", "/sw.js", "/line", "/photo"]) {
    const foreign = await fetch(origin + path, { headers: { origin: "http://evil.example" } });
    assert.equal(foreign.status, 403, `${path} from a foreign origin`);
  }
});
