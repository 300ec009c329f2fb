// The drawing alone, screen by screen, under the server's strict policy: reach, size, contrast, keyboard, steadiness.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { site } from "../draw/dev/site.js";
import { least, violations } from "./lib/faults.js";

const apartPx = 8;
/** @type {Awaited<ReturnType<typeof site>>} */
let shown;
/** @type {import("playwright-core").Browser} */
let browser;

before(async () => {
  shown = await site();
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
});
after(async () => {
  await browser?.close();
  shown?.close();
});

/** Opens one screen. Anything that the policy blocks or that throws fails the test. */
async function open(t, name, { width = 360, height = 740, face = "", large = false, run = false, ...context } = {}) {
  const own = await browser.newContext({ viewport: { width, height }, reducedMotion: "reduce", ...context });
  t.after(() => own.close());
  const page = await own.newPage();
  const trouble = [];
  page.on("console", (message) => message.type() === "error" && trouble.push(message.text()));
  page.on("pageerror", (error) => trouble.push(error.message));
  t.after(() => assert.deepEqual(trouble, [], name));
  if (large) await (await own.newCDPSession(page)).send("Page.setFontSizes", { fontSizes: { standard: 32, fixed: 26 } });
  await page.goto(`${shown.url}/?screen=${name}${face && `&face=${face}`}${run ? "&run=1" : ""}`);
  await page.waitForSelector("html[data-drawn]");
  await page.evaluate(() => document.fonts.ready);
  return page;
}

const phones = () => shown.names.filter((name) => !name.startsWith("wall"));
const walls = () => shown.names.filter((name) => name.startsWith("wall"));
const done = (page) => page.evaluate(() => globalThis.done);

/** Draws each of these screens on one page and looks at each. */
async function each(page, names, look) {
  for (const name of names) {
    await page.evaluate((one) => globalThis.show(globalThis.screens[one]), name);
    await page.evaluate(() => new Promise((next) => requestAnimationFrame(() => requestAnimationFrame(next))));
    await look(name);
  }
}

test("no violation that can be found by machine, on any screen, in both faces", async (t) => {
  for (const face of ["day", "night"]) {
    const page = await open(t, "line", { face });
    const what = face === "day" ? "all" : "colours";
    await each(page, phones(), async (name) => assert.deepEqual(await violations(page, what), [], `${name}, ${face}`));
    const wall = await open(t, "wall", { face, width: 1920, height: 1080 });
    assert.deepEqual(await violations(wall, what), [], `wall, ${face}`);
  }
});

test("no sideways scrolling at 320 px, nor with text at 200 %", async (t) => {
  for (const how of [{ width: 320 }, { large: true }]) {
    const page = await open(t, "line", how);
    await each(page, phones(), async (name) => {
      const wide = await page.evaluate(() => {
        const all = [document.documentElement, document.body, ...document.querySelectorAll("main, .over, .ring, .refusal")];
        return all
          .filter((it) => it.scrollWidth > it.clientWidth)
          .map((it) => `${it.tagName} ${it.className} ${it.scrollWidth} > ${it.clientWidth}`);
      });
      assert.deepEqual(wide, [], `${name} ${JSON.stringify(how)}`);
    });
  }
});

/** Every target that can be seen, with its size. */
function targets() {
  const all = [...document.querySelectorAll("a[href], button, input, textarea, summary")];
  const seen = all.filter((it) => !it.closest("[inert]") && it.getClientRects().length && !it.classList.contains("skip"));
  return seen.map((it) => {
    const { left, top, right, bottom, width, height } = it.getBoundingClientRect();
    return {
      what: it.outerHTML.slice(0, 90),
      left,
      top,
      right,
      bottom,
      width,
      height,
      bar: Boolean(it.closest(".places, .undo, .dock, .top, .refusal")),
    };
  });
}

test("every target is at least 56 px and 8 px from the next", async (t) => {
  const page = await open(t, "line");
  await each(page, phones(), async (name) => {
    const all = await page.evaluate(targets);
    for (const it of all) assert.ok(it.width >= least && it.height >= least, `${name}: ${it.width} x ${it.height} ${it.what}`);
    for (const a of all) {
      for (const b of all) {
        if (a === b || a.bar !== b.bar) continue;
        const gap = Math.max(b.left - a.right, a.left - b.right, b.top - a.bottom, a.top - b.bottom);
        assert.ok(gap >= apartPx - 0.01, `${name}: ${gap} px between ${a.what} and ${b.what}`);
      }
    }
  });
});

test("two full strips with caution and action fit one phone", async (t) => {
  const page = await open(t, "line.bell");
  const last = await page.locator("main .act").nth(1).boundingBox();
  const bar = await page.locator(".places").boundingBox();
  assert.ok(last.y + last.height <= bar.y, `the second action ends at ${last.y + last.height}, the bar begins at ${bar.y}`);
});

test("a ring's caution stands whole above what is tapped, on a small phone too", async (t) => {
  for (const size of [
    { width: 360, height: 740 },
    { width: 320, height: 640 },
  ]) {
    const page = await open(t, "ring.es", size);
    await page.evaluate(() => {
      const { "ring.es": it } = globalThis.screens;
      const note =
        "Calla todos los dispositivos y muestra quién: Nuria Lamas. Si en 1 min no está hecho: suena otra vez y llama a Maren Oduya y Rosa Lema.";
      const caution = { title: "Aceite caliente, presión", lines: ["Tapa cerrada hasta que el manómetro marque cero."] };
      globalThis.show({ ...it, ring: { ...it.ring, name: "Freidora 1", deed: "Terminar la fritura ahora", caution, also: [], note } });
    });
    await page.evaluate(() => new Promise((next) => requestAnimationFrame(() => requestAnimationFrame(next))));
    const caution = await page.locator(".ring .caution").boundingBox();
    const acts = await page.locator(".ring .acts").boundingBox();
    const got = await page.locator(".ring .act.got").boundingBox();
    assert.ok(
      caution.y + caution.height <= acts.y,
      `${size.width}: the caution ends at ${caution.y + caution.height}, what is tapped begins at ${acts.y}`,
    );
    assert.ok(got.y + got.height <= size.height, `${size.width}: Got it ends at ${got.y + got.height}`);
  }
});

test("how many things ring is to be seen at once, and the answer with it, on a small phone too", async (t) => {
  for (const size of [
    { width: 360, height: 740 },
    { width: 320, height: 640 },
  ]) {
    for (const name of ["ring.en", "ring.es"]) {
      const page = await open(t, name, size);
      const { also } = await page.evaluate((of) => globalThis.screens[of].ring, name);
      assert.equal(also.length, 3);
      const count = page.locator(".ring .count");
      assert.match(await count.innerText(), /\b4\b/);
      for (const it of [count, page.locator(".ring .act.got")]) {
        const box = await it.boundingBox();
        assert.ok(box.y >= 0 && box.y + box.height <= size.height, `${name} ${size.width}: ${JSON.stringify(box)}`);
      }
      const last = page.locator(".ring .also p").last();
      await last.scrollIntoViewIfNeeded();
      const [row, steps] = [await last.boundingBox(), await page.locator(".ring .act.quiet").boundingBox()];
      assert.ok(row.y + row.height <= size.height && steps.height >= 56, "the others can be read");
    }
  }
});

test("what says that a phone is out of touch keeps its words off its edges, under a way back too", async (t) => {
  const page = await open(t, "line");
  const seen = new Set();
  await each(page, phones(), async (name) => {
    await page.evaluate((one) => {
      const it = globalThis.screens[one];
      globalThis.show({ ...it, saved: { in: "phone", text: "En este móvil: 1 por enviar, sin contacto desde 11:49", waiting: 1 } });
    }, name);
    const found = await page.evaluate(() => {
      const band = document.querySelector('.standing[data-link="out"]');
      return band && { room: parseFloat(getComputedStyle(band).paddingTop), back: Boolean(document.querySelector(".top .back")) };
    });
    if (!found) return;
    seen.add(found.back);
    assert.ok(found.room >= 8, `${name}: ${found.room} px above what it says`);
  });
  assert.equal(seen.size, 2, "screens with a way back and without");
});

test("the wall holds nothing under 44 px at 1080 lines, scrolls nowhere, and its next action has letters of 15 mm", async (t) => {
  for (const height of [1080, 720]) {
    const page = await open(t, "wall", { width: (height * 16) / 9, height });
    await each(page, walls(), async (name) => {
      const found = await page.evaluate(() => {
        const texts = [...document.querySelectorAll(".wall *")].filter(
          (it) => !it.closest(".vh") && [...it.childNodes].some((node) => node.nodeType === 3 && node.data.trim()),
        );
        const main = document.querySelector("main");
        return {
          smallest: Math.min(...texts.map((it) => Number.parseFloat(getComputedStyle(it).fontSize))),
          scrolls: document.documentElement.scrollHeight > innerHeight || document.documentElement.scrollWidth > innerWidth,
          deed: Number.parseFloat(getComputedStyle(document.querySelector(".first h2")).fontSize),
          cut: [...document.querySelectorAll(".rowline")].filter(
            (row) =>
              row.getBoundingClientRect().left < innerWidth && row.getBoundingClientRect().bottom > main.getBoundingClientRect().bottom + 1,
          ).length,
          overfull: [...document.querySelectorAll(".rowline")].filter(
            (row) => row.getBoundingClientRect().left < innerWidth && row.scrollHeight > row.clientHeight + 1,
          ).length,
          targets: document.querySelectorAll("a, button").length,
        };
      });
      const scale = height / 1080;
      assert.ok(found.smallest >= 44 * scale - 0.1, `${name}: ${found.smallest} px`);
      assert.deepEqual([found.scrolls, found.cut, found.overfull, found.targets], [false, 0, 0, 0], name);
      // 40 inches of 16:9 are 498 mm high; capitals of B612 are 0.7 em (measured on the font).
      const letters = (found.deed / height) * 498 * 0.7;
      assert.ok(letters >= 15, `${name}: letters of ${letters.toFixed(1)} mm`);
    });
  }
});

test("the wall shows all its rows in Spanish too, while they ring, on a smaller screen", async (t) => {
  for (const [width, height] of [
    [1920, 1080],
    [1366, 768],
  ]) {
    const page = await open(t, "wall.es", { width, height });
    await page.evaluate(() => {
      const it = structuredClone(globalThis.screens["wall.es"]);
      for (const part of it.parts) if (part.p === "strip") part.rings = 1;
      globalThis.show(it);
    });
    await page.locator(".wall .rowline .band").first().waitFor();
    const seen = await page.evaluate(() => ({
      strips: globalThis.screens["wall.es"].parts.filter((it) => it.p === "strip").length,
      stripes: document.querySelectorAll(".wall .band").length,
      rows: [...document.querySelectorAll(".wall .rowline")].map((row) => {
        const [box, ...all] = [row, ...row.querySelectorAll("h2, p")].map((it) => it.getBoundingClientRect());
        return box.left >= 0 && all.every((it) => it.right <= innerWidth && it.bottom <= box.bottom + 1);
      }),
      foot: document.querySelector(".wfoot").getBoundingClientRect().height / innerHeight,
    }));
    assert.deepEqual([seen.strips, seen.stripes, seen.rows], [5, 5, [true, true, true, true]]);
    assert.ok(seen.foot < 0.075, "what stands at the foot takes one line");
  }
});

test("the flow goes by keyboard alone: skip link, sheet, our own pad, answer, focus back", async (t) => {
  const page = await open(t, "reading.open");
  await page.keyboard.press("Tab");
  assert.equal(await page.evaluate(() => document.activeElement.className), "skip");
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement.id), "main");
  await page.locator("[data-do=step]").first().focus();
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement.id), "sheet-title");
  await page.keyboard.type("77,6");
  assert.match(await page.locator("[role=dialog] output").innerText(), /77\.6\s°C/);
  await page.keyboard.press("Backspace");
  await page.keyboard.press("8");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => globalThis.done.length === 1);
  const [[kind, command]] = await done(page);
  assert.equal(kind, "tap");
  assert.equal(command.typed, "77.8");
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute("data-do")), "step");
});

test("Escape and Back close a sheet and leave the screen as it was", async (t) => {
  const page = await open(t, "line");
  const path = await page.evaluate(() => location.href);
  for (const close of [
    () => page.keyboard.press("Escape"),
    () => page.goBack(),
    () => page.getByRole("button", { name: "Leave it" }).click(),
  ]) {
    await page.locator("[data-do=discard]").click();
    await page.getByRole("dialog").waitFor();
    await close();
    await page.getByRole("dialog").waitFor({ state: "detached" });
    assert.equal(await page.evaluate(() => location.href), path);
  }
  assert.deepEqual(await done(page), []);
});

test("what cannot be undone takes a second tap, and the command is handed on unchanged", async (t) => {
  const page = await open(t, "line");
  await page.locator("[data-do=discard]").click();
  assert.deepEqual(await done(page), []);
  await page.getByRole("dialog").getByRole("button", { name: "Discard 5 pieces" }).click();
  const [[, command]] = await done(page);
  const wanted = await page.evaluate(
    () => globalThis.screens["line"].parts.find((part) => part.actions?.[0]?.do?.do === "discard").actions[0].do,
  );
  assert.deepEqual(command, wanted);
});

test("a double tap is one tap: the second half answers nothing that has just come under the finger", async (t) => {
  const page = await open(t, "line");
  const box = await page.locator("[data-do=discard]").boundingBox();
  for (let i = 0; i < 2; i++) await page.mouse.click(box.x + box.width / 2, box.y + 20);
  assert.deepEqual(await done(page), []);
  const sure = page.getByRole("dialog").getByRole("button", { name: "Discard 5 pieces" });
  const at = await sure.boundingBox();
  await page.waitForTimeout(500);
  for (let i = 0; i < 2; i++) await page.mouse.click(at.x + at.width / 2, at.y + at.height / 2);
  assert.deepEqual(
    (await done(page)).map(([kind, command]) => [kind, command.do]),
    [["tap", "discard"]],
  );
  await page.evaluate(() => globalThis.show(globalThis.screens.ring));
  const got = await page.getByRole("button", { name: "Got it", exact: true }).boundingBox();
  await page.mouse.click(got.x + 40, got.y + 40);
  assert.equal((await done(page)).length, 1, "a ring that came under the finger is not answered by it");
});

test("a ring takes the screen, a stray key silences nothing, Back shows what was open and the ring stays in sight", async (t) => {
  const page = await open(t, "line");
  await page.locator("main .face").first().focus();
  await page.evaluate(() => globalThis.show(globalThis.screens["ring"]));
  const ring = page.getByRole("alertdialog");
  await ring.waitFor();
  assert.equal(await page.evaluate(() => document.activeElement.id), "ring-name");
  for (const key of ["Enter", "Space", "5", "Escape"]) await page.keyboard.press(key);
  assert.deepEqual(await done(page), []);
  assert.match(await ring.innerText(), /40 s late/);
  await page.goBack();
  await ring.waitFor({ state: "detached" });
  assert.match(await page.locator("[data-part=ringbar]").innerText(), /Fryer 1/);
  assert.ok(await page.evaluate(() => document.activeElement.classList.contains("face")));
  await page.locator("[data-part=ringbar]").click();
  await ring.getByRole("button", { name: "Got it", exact: true }).click();
  assert.deepEqual(
    (await done(page)).map(([kind, command]) => [kind, command.do]),
    [["tap", "got"]],
  );
  await page.evaluate(() => globalThis.show(globalThis.screens["line"]));
  await ring.waitFor({ state: "detached" });
});

test("got it, show the steps: the ring leaves at once, the steps come, and Back leads to what was open", async (t) => {
  const page = await open(t, "line");
  const length = await page.evaluate(() => history.length);
  await page.evaluate(() => globalThis.show(globalThis.screens.ring));
  await page.getByRole("button", { name: "Got it, show the steps" }).click();
  await page.getByRole("alertdialog").waitFor({ state: "detached" });
  await page.waitForFunction(() => globalThis.done.length === 2);
  const [[, command], [kind, path]] = await done(page);
  assert.deepEqual([command.do, kind], ["got", "go"]);
  assert.match(path, /^\/batch\//);
  assert.equal(await page.evaluate(() => history.state?.layer), undefined);
  assert.ok((await page.evaluate(() => history.length)) <= length + 1);
});

test("a sheet that was open under a ring is still there after it, with what was typed", async (t) => {
  const page = await open(t, "hold");
  await page.locator("[data-do=count]").nth(2).click();
  await page.keyboard.type("3");
  await page.evaluate(() => globalThis.show({ ...globalThis.screens["hold"], ring: globalThis.screens["ring"].ring }));
  await page.getByRole("alertdialog").waitFor();
  await page.keyboard.type("9");
  await page.evaluate(() => globalThis.show(globalThis.screens["hold"]));
  await page.getByRole("alertdialog").waitFor({ state: "detached" });
  assert.match(await page.getByRole("dialog").locator("output").innerText(), /^3\s/);
});

test("a strip stays under the finger, and sorts itself three seconds after the last touch, with the focus", async (t) => {
  const page = await open(t, "line");
  const names = () => page.evaluate(() => [...document.querySelectorAll(".strip .name")].map((it) => it.textContent));
  const before = await names();
  const third = page.locator(".strip .face").nth(2);
  await third.focus();
  await page.locator("main").dispatchEvent("pointerdown");
  await page.evaluate(() => {
    const screen = structuredClone(globalThis.screens["line"]);
    const strips = screen.parts.filter((part) => part.p === "strip");
    const turned = [...strips].reverse();
    globalThis.show({ ...screen, parts: screen.parts.map((part) => (part.p === "strip" ? turned[strips.indexOf(part)] : part)) });
  });
  assert.deepEqual(await names(), before);
  await page.waitForFunction((first) => document.querySelector(".strip .name").textContent !== first, before[0], { timeout: 5000 });
  assert.deepEqual(await names(), [...before].reverse());
  assert.equal(await page.evaluate(() => document.activeElement.querySelector(".name")?.textContent), before[2]);
});

test("what is typed on a screen stands at once and in its address", async (t) => {
  const page = await open(t, "start");
  await page.keyboard.press("Backspace");
  await page.getByRole("button", { name: "9", exact: true }).click();
  assert.match(await page.locator("output").innerText(), /27\.9\s*kg/);
  await page.getByLabel("Supplier lot").fill("FR-2612");
  const drafts = (await done(page)).filter(([kind]) => kind === "draft").map(([, path]) => path);
  assert.deepEqual(drafts, [
    "/start/bone-in?g=27.&lots=FR-2611",
    "/start/bone-in?g=27.9&lots=FR-2611",
    "/start/bone-in?g=27.9&lots=FR-2612",
  ]);
});

test("seconds pass without a screen being drawn again", async (t) => {
  const page = await open(t, "line", { run: true });
  const left = page.locator(".strip .left").first();
  const before = await left.innerText();
  await page.evaluate(() => {
    globalThis.changed = [];
    new MutationObserver((list) =>
      globalThis.changed.push(
        ...list.map(
          (it) =>
            (it.target.closest ? it.target : it.target.parentElement)?.closest("svg, p, span, small")?.tagName.toLowerCase() ??
            it.target.nodeName,
        ),
      ),
    ).observe(document.querySelector("main"), { subtree: true, childList: true, characterData: true, attributes: true });
  });
  await page.waitForTimeout(2200);
  assert.notEqual(await left.innerText(), before);
  const changed = new Set(await page.evaluate(() => globalThis.changed));
  for (const kind of changed) assert.ok(["svg", "p", "span", "small"].includes(kind), `changed a ${kind}`);
});

test("an undo is offered for its seconds and then goes; with the focus in it, it waits", async (t) => {
  const page = await open(t, "line.busy", { run: true });
  const bar = page.locator("[data-part=undo]");
  assert.match(await bar.innerText(), /Undo [67] s/);
  await bar.getByRole("button").focus();
  const held = await bar.getByRole("button").innerText();
  await page.waitForTimeout(2500);
  assert.equal(await bar.getByRole("button").innerText(), held);
  await page.keyboard.press("Enter");
  assert.deepEqual((await done(page))[0][1].do, "undo");
  await bar.waitFor({ state: "detached" });
});

test("a refusal is read out, and can be put away", async (t) => {
  const page = await open(t, "reading");
  const refusal = page.locator("[data-part=refusal]");
  assert.equal(await refusal.getAttribute("role"), "alert");
  await refusal.getByRole("button", { name: "Leave it" }).click();
  await refusal.waitFor({ state: "detached" });
});

test("a date mark prints as one label of 50 by 30 mm", async (t) => {
  const page = await open(t, "mark");
  await page.waitForSelector("svg.qr[data-ready] path");
  const pdf = await page.pdf({ preferCSSPageSize: true });
  const text = pdf.toString("latin1");
  const boxes = [...text.matchAll(/\/MediaBox\s*\[([^\]]*)\]/g)].map(([, box]) => box.trim().split(/\s+/).map(Number));
  assert.equal(boxes.length, 1, "one page");
  const mm = boxes[0].slice(2).map((points) => (points / 72) * 25.4);
  assert.ok(Math.abs(mm[0] - 50) < 0.5 && Math.abs(mm[1] - 30) < 0.5, `${mm}`);
  await page.emulateMedia({ media: "print" });
  const over = await page.evaluate(() => {
    const label = document.querySelector(".labelwrap .label");
    const { left, top, right, bottom } = label.getBoundingClientRect();
    const out = [...label.querySelectorAll("p, svg")].filter((it) => {
      const box = it.getBoundingClientRect();
      return box.left < left - 0.5 || box.top < top - 0.5 || box.right > right + 0.5 || box.bottom > bottom + 0.5;
    });
    return out.map((it) => it.className.baseVal ?? it.className);
  });
  assert.deepEqual(over, []);
});

test("in forced colours the rail keeps its outlines and the pointer", async (t) => {
  const page = await open(t, "line", { forcedColors: "active" });
  const strokes = await page.evaluate(() =>
    [...document.querySelectorAll(".rail .r-last, .rail .r-soon, .rail .r-past")].map((it) => getComputedStyle(it).stroke),
  );
  assert.ok(strokes.length > 5);
  const text = await page.evaluate(() => getComputedStyle(document.body).color);
  for (const stroke of strokes) assert.equal(stroke, text);
});
