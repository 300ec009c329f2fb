// Words that people type stay words: whatever stands in them, on no screen and on no paper does any of it run or become a part of the page.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

const run = "globalThis.ranIt=1";

/** Forty ways in which a text has become a script somewhere. */
const texts = [
  `<script>${run}</script>`,
  `<SCRIPT>${run}</SCRIPT>`,
  `<script src=data:,${run}></script>`,
  `</textarea><script>${run}</script>`,
  `</title><script>${run}</script>`,
  `</style><script>${run}</script>`,
  `--><script>${run}</script>`,
  `]]><script>${run}</script>`,
  `"><script>${run}</script>`,
  `'><script>${run}</script>`,
  `<img src=x onerror=${run}>`,
  `<img/src=x/onerror=${run}>`,
  `<img src="x" onerror="${run}">`,
  `"><img src=x onerror=${run}>`,
  `<svg onload=${run}>`,
  `<svg/onload=${run}>`,
  `<svg><script>${run}</script></svg>`,
  `<svg><animate onbegin=${run} attributeName=x>`,
  `<math><mi xlink:href="javascript:${run}">`,
  `<body onload=${run}>`,
  `<iframe src="javascript:${run}">`,
  `<iframe srcdoc="<script>${run}</script>">`,
  `<object data="javascript:${run}">`,
  `<embed src="javascript:${run}">`,
  `<a href="javascript:${run}">tap</a>`,
  `javascript:${run}`,
  `data:text/html,<script>${run}</script>`,
  `<details open ontoggle=${run}>`,
  `<video src=x onerror=${run}>`,
  `<audio src=x onerror=${run}>`,
  `<input autofocus onfocus=${run}>`,
  `<select autofocus onfocus=${run}>`,
  `<marquee onstart=${run}>`,
  `<link rel=stylesheet href=data:,*{display:none}>`,
  `<style>*{display:none}</style>`,
  `<meta http-equiv=refresh content=0;url=/more>`,
  `<base href=//evil.test/>`,
  `\${${run}}`,
  `{{constructor.constructor('${run}')()}}`,
  `&lt;script&gt;${run}&lt;/script&gt;`,
];

/** A text as an address holds it. */
const written = (text) => encodeURIComponent(text).replaceAll("'", "%27");

test("whatever is typed into a name, a note, a lot, a reason or an address stays words on every screen and on paper", async (t) => {
  assert.equal(texts.length, 40);
  const kitchen = await Kitchen.quick(t);
  for (const name of ["<img src=x onerror=globalThis.ranIt=1>", '<b>Bold</b> & "Co"']) {
    const { code, out } = await kitchen.server.run("lead", name);
    assert.ok(code === 0 || /name/i.test(out), out); // taken as it is, or refused in words
  }
  const maren = await kitchen.phone("<svg onload=globalThis.ranIt=1>");
  await maren.isHeldBy("Maren");
  const own = () =>
    maren.page.evaluate(() => ({
      ran: globalThis.ranIt,
      strange: [
        ...document.querySelectorAll(
          "script:not([src]), iframe, object, embed, base, marquee, video, [onerror], [onload], [onfocus], a[href^='javascript:'], meta[http-equiv=refresh]",
        ),
      ].map((it) => it.outerHTML),
    }));
  const holds = async (where) => assert.deepEqual(await own(), { ran: undefined, strange: [] }, where);

  await maren.page.evaluate(() => document.body.append(document.createElement("iframe")));
  assert.equal((await own()).strange.length, 1, "what is looked for is found");
  await maren.page.evaluate(() => document.querySelector("iframe").remove());

  for (const text of texts) {
    await maren.goesWithin(`/timer/new?name=${written(text)}`);
    await holds(`/timer/new with ${text}`);
    await maren.pokes(maren.page.locator("main [data-do=timer]").last()); // an hour: none of them rings here
    await maren.page.locator("html[data-view=line]").waitFor();
  }
  const all = texts.join(" ").slice(0, 900);
  const tub = await maren.startsATub("quick", 6, `<script>${run}</script>`);
  await maren.opensBatch(tub);
  await maren.does("note", maren.page.locator("main"));
  await maren.answers(all);
  await maren.does("deviate", maren.page.locator("main"));
  await maren.answers(all);
  for (const text of [texts[0], texts[10], texts[24]]) {
    for (const field of ["/find?code=", "/start/quick?g=6&lots=", "/lists?", "/batch/", "/no/", "/place/", "/timer/new?own=1&m=5&name="]) {
      await maren.page.goto(kitchen.server.origin + field + written(text), { waitUntil: "domcontentloaded" });
      await maren.page.locator("main").waitFor();
      await holds(field + text);
    }
  }
  await maren.goes("/");
  await maren.sees("<script>");
  for (const path of [
    "/",
    "/wall",
    "/timers",
    "/who",
    "/crew",
    "/devices",
    "/deviations",
    "/records",
    `/batch/${tub}`,
    `/batch/${tub}/history`,
    `/mark/${tub}`,
    "/lists",
    "/hold",
    "/more",
    "/kitchen",
  ]) {
    await maren.goesWithin(path);
    await holds(path);
  }
  await maren.goesWithin(`/mark/${tub}`);
  await maren.page.emulateMedia({ media: "print" });
  await holds("on paper");
  assert.deepEqual(
    maren.faults.filter((fault) => !/Content Security Policy|404/.test(fault)),
    [],
  );
});
