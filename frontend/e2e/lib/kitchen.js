// A kitchen for a test: one server, one browser, phones in people's hands.
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { OwnChromium, openBrowser } from "./browser.js";
import { Cook } from "./cook.js";
import { size } from "./phone.js";
import { freePort, Server } from "./server.js";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const documents = fileURLToPath(new URL("../documents/", import.meta.url));

/** The equipment of the tests, its fryer changed. @returns its file */
async function equipmentWith(t, { between, every }) {
  const equipment = JSON.parse(await readFile(`${documents}equipment.json`, "utf8"));
  const [fryer] = equipment.devices;
  if (between) fryer.between = between;
  if (every) fryer.reading.every = every;
  const folder = await mkdtemp(join(tmpdir(), "brinebell-equipment-"));
  t.after(() => rm(folder, { recursive: true, force: true }));
  await writeFile(join(folder, "equipment.json"), JSON.stringify(equipment));
  return join(folder, "equipment.json");
}

/** A procedure in which nothing is written down of who may do what: anybody may do all of it. @returns its file */
async function withoutCompetences(t, file) {
  const procedure = JSON.parse(await readFile(file, "utf8"));
  delete procedure.competences;
  const folder = await mkdtemp(join(tmpdir(), "brinebell-procedure-"));
  t.after(() => rm(folder, { recursive: true, force: true }));
  await writeFile(join(folder, "procedure.json"), JSON.stringify(procedure));
  return join(folder, "procedure.json");
}

export class Kitchen {
  /** The demo kitchen, in the middle of its shift. */
  static async demo(t, pace = 1) {
    const kitchen = new Kitchen(t, await Server.open(t), await openBrowser(t));
    if (pace !== 1) await kitchen.runs(pace);
    return kitchen;
  }

  /** The demo kitchen on a Friday evening. Its crew works, and guests come. */
  static async evening(t) {
    return new Kitchen(t, await Server.open(t, { more: ["--evening"] }), await openBrowser(t));
  }

  /**
   * A kitchen that has been at work: its day of "yesterday", closed by its lead, or its books of a "week", with nothing in
   * its vessels.
   * @param {"yesterday" | "week"} span
   */
  static async past(t, span) {
    const server = new Server(await mkdtemp(join(tmpdir(), "brinebell-")), await freePort(), false, []);
    t.after(async () => {
      await server.cutPower();
      await rm(server.data, { recursive: true, force: true });
    });
    const how = { cwd: root, env: { ...process.env, CGO_ENABLED: "0" } };
    await promisify(execFile)("go", ["run", "./internal/bench", `-${span}`, server.data], how);
    await server.start();
    return new Kitchen(t, server, await openBrowser(t));
  }

  /** A kitchen that works by the demo's procedure and fryers, with a lead and a cook, and with nothing in its vessels. */
  static async bare(t) {
    const server = await Server.open(t, { demo: false });
    const documents = join(root, "internal", "demo", "documents");
    const published = await server.run(
      "publish",
      await withoutCompetences(t, join(documents, "procedure-bone-in.json")),
      join(documents, "equipment.json"),
    );
    assert.equal(published.code, 0, published.out);
    for (const name of ["Maren", "Teo"]) {
      const listed = await server.run("lead", name);
      assert.equal(listed.code, 0, listed.out);
    }
    return new Kitchen(t, server, await openBrowser(t));
  }

  /**
   * A kitchen of its own whose procedure has waits of seconds, with a lead and two cooks.
   * @param {{fryer?: {between?: string, every?: string}}} [how] what its fryer needs between loads, and how long a reading of its oil counts
   */
  static async quick(t, { fryer = {} } = {}) {
    const server = await Server.open(t, { demo: false });
    const published = await server.run("publish", `${documents}quick.json`, await equipmentWith(t, fryer));
    assert.equal(published.code, 0, published.out);
    for (const name of ["Maren", "Teo", "Ines"]) {
      const listed = await server.run("lead", name);
      assert.equal(listed.code, 0, listed.out);
    }
    return new Kitchen(t, server, await openBrowser(t));
  }

  constructor(t, server, browser) {
    Object.assign(this, { t, server, browser });
  }

  /** Hands a phone to somebody, and joins it. */
  async phone(name, more = {}) {
    const { server, browser } = this;
    const phone = await Cook.open(this.t, { browser, server, name, ...more });
    if (!server.demo && !more.stranger) await phone.joins(await this.code(), name);
    return phone;
  }

  async phones(...names) {
    const all = [];
    for (const name of names) all.push(await this.phone(name));
    return all;
  }

  /** Hands somebody a phone whose browser can be put to sleep by itself, and joins it. */
  async phoneThatSleeps(name) {
    const own = await OwnChromium.open(this.t);
    const page = own.context.pages()[0] ?? (await own.context.newPage());
    await page.setViewportSize(size);
    const phone = Object.assign(new Cook(page, this.server, name), { own, touch: false }); // this browser has no fingers
    if (this.server.demo) await phone.goes("/");
    else await phone.joins(await this.code(), name);
    return phone;
  }

  /**
   * Publishes the quick procedure anew: its fryer needs a signature.
   * @param {object} [more] of the competence
   * @param {string} [patience] how long what was answered stays silent: a long one where bells are not what is looked at
   */
  async asksForSignatures(more = {}, patience = "") {
    const doc = JSON.parse(await readFile(`${documents}quick.json`, "utf8"));
    doc.version += 1;
    if (patience) for (const { window } of doc.stages) if (window.patience) window.patience = patience;
    const stages = ["load", "cook", "release", "rest"];
    const title = { en: "Pressure fryer", es: "Freidora a presión" };
    doc.competences = [{ name: "fryer", title, stages, needs: { guided: 1, questions: 20 }, ...more }];
    const folder = await mkdtemp(join(tmpdir(), "brinebell-signed-"));
    this.t.after(() => rm(folder, { recursive: true, force: true }));
    await writeFile(join(folder, "quick.json"), JSON.stringify(doc));
    const { code, out } = await this.server.run("publish", join(folder, "quick.json"));
    assert.equal(code, 0, out);
  }

  /** A code that lets one device in, as the terminal prints it. */
  async code() {
    const { code, out } = await this.server.run("code");
    assert.equal(code, 0, out);
    const found = out.match(/\b[2-9A-HJ-NP-TV-Z]{3}[- ]?[2-9A-HJ-NP-TV-Z]{3}\b/);
    assert.ok(found, `no code in: ${out}`);
    return found[0];
  }

  /** Lets the demo's time run 1 to 3,600 times as fast. */
  async runs(pace) {
    const { status, text } = await this.server.post("/demo/pace", { pace });
    assert.ok(status < 300, `${status} ${text}`);
  }

  /** Lets hours of the demo go by in seconds, as a phone's clock shows it, and from then on minutes. */
  async passes(phone, span) {
    const until = (await phone.kitchenNow()) + span;
    await this.runs(600);
    while ((await phone.kitchenNow()) < until) await phone.page.waitForTimeout(100);
    await this.runs(60);
  }
}
