import assert from "node:assert/strict";
import { test } from "node:test";
import { isFile, linkTo, Refused } from "./save.js";

const key = { device: "d1", key: "ab" };

test("only what the server makes is a file", () => {
  assert.equal(isFile("/api/report?from=2026-11-24"), true);
  assert.equal(isFile("/records/2026-11-24"), false);
});

test("a link is asked for with the key in a header, and never in an address", async () => {
  const asked = [];
  globalThis.fetch = async (path, init) => {
    asked.push({ path, ...init });
    return { ok: true, status: 200, json: async () => ({ path: "/api/report?from=1&ticket=t" }) };
  };
  assert.equal(await linkTo("/api/report?from=1", key, "es"), "/api/report?from=1&ticket=t");
  assert.equal(asked[0].path, "/api/ticket");
  assert.equal(asked[0].headers.authorization, "Device d1 ab");
  assert.equal(asked[0].headers["accept-language"], "es", "what is refused is said as the page speaks, not as the browser does");
  assert.deepEqual(JSON.parse(asked[0].body), { path: "/api/report?from=1" });
});

test("what the kitchen refuses is not followed, and its sentence is passed on", async () => {
  const answer = (status) => async () => ({ ok: false, status, json: async () => ({ text: "Hand the phone to a lead." }) });
  globalThis.fetch = answer(403);
  await assert.rejects(
    linkTo("/api/training", key, "en"),
    (error) => error instanceof Refused && error.message === "Hand the phone to a lead.",
  );
  globalThis.fetch = answer(500);
  await assert.rejects(linkTo("/api/report", key, "en"), (error) => !(error instanceof Refused) && /500/.test(error.message));
});
