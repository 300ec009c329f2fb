import assert from "node:assert/strict";
import { once } from "node:events";
import { createServer } from "node:http";
import { after, before, test } from "node:test";
import { Dead, fetchPatiently } from "./patience.js";

const patience = { head: 500, idle: 500 };
const PIECE = 120; // ms between the bytes of a slow answer

/** A path that takes every question and answers by what it asks. */
const server = createServer((ask, answer) => {
  if (ask.url === "/mute") return;
  answer.writeHead(200, { "content-length": "6" });
  answer.write("a");
  if (ask.url === "/stalls") return;
  let sent = 1;
  const timer = setInterval(() => {
    answer.write("a");
    if (++sent < 6) return;
    clearInterval(timer);
    answer.end();
  }, PIECE);
});
let origin;

before(async () => {
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  origin = `http://127.0.0.1:${server.address().port}`;
});
after(() => {
  server.closeAllConnections();
  server.close();
});

test("a path that takes the question and never answers is given up", async () => {
  await assert.rejects(
    fetchPatiently(`${origin}/mute`, {}, { patience }),
    (err) => err instanceof Dead && /\/mute: no answer/.test(err.message),
  );
});

test("an answer that stops in the middle is given up", async () => {
  const answer = await fetchPatiently(`${origin}/stalls`, {}, { patience });
  await assert.rejects(answer.text(), (err) => err instanceof Dead && /\/stalls: no more of it came/.test(err.message));
});

test("an answer that takes longer than any wait, but goes on coming, is not", async () => {
  const begun = performance.now();
  const answer = await fetchPatiently(`${origin}/slow`, {}, { patience });
  assert.equal(await answer.text(), "aaaaaa");
  assert.ok(performance.now() - begun > patience.idle);
});

test("what somebody else watches is only given up while there is no answer", async () => {
  await assert.rejects(fetchPatiently(`${origin}/mute`, {}, { patience, watched: true }), Dead);
  const answer = await fetchPatiently(`${origin}/stalls`, {}, { patience, watched: true });
  const late = new Promise((resolve) => setTimeout(resolve, 2 * patience.idle, "still waiting"));
  assert.equal(await Promise.race([answer.text(), late]), "still waiting");
  await answer.body.cancel().catch(() => {});
});
