// Pairing of sensors, and the reading of a logger's file: how it is written, what would be kept, then keeping it.
import { html, nothing } from "lit-html";
import { swatch, tick } from "./icons.js";

/** @typedef {import("./page.js").Page} Page */
/** @typedef {{en: string, es: string}} Phrase */

/** What one of the pages holds while it stands open. */
export class Readings {
  /** @param {Page} page */
  constructor(page) {
    this.page = page;
    /** @type {any} */
    this.facts = null;
    this.away = false;
    this.busy = false;
    this.trouble = "";
    /** @type {Record<string, string>} */
    this.how = {}; // answers to what a file does not tell
    /** @type {File | null} */
    this.file = null;
    /** @type {any} */
    this.report = null;
    this.place = "";
    this.logger = "logger";
    this.token = "";
    /** @type {any} */
    this.sure = null; // the sensor that is to be taken off
    queueMicrotask(() => this.load()); // it draws, and this is being drawn
  }

  get lang() {
    return this.page.screen.lang === "es" ? "es" : "en";
  }

  /** @param {Phrase | undefined} phrase @param {...(string | number)} fill */
  says(phrase, ...fill) {
    return fill.reduce((/** @type {string} */ text, value, i) => text.replace(`{${i}}`, String(value)), phrase?.[this.lang] ?? "");
  }

  /** @param {string} id @param {...(string | number)} fill */
  told(id, ...fill) {
    return this.says(this.facts?.words[id], ...fill);
  }

  /** Asks the server; what it refuses is said, and that it is away. @param {string} path @param {any} [what] */
  async ask(path, what) {
    this.busy = true;
    this.trouble = "";
    this.page.redraw();
    try {
      const answer = await this.page.hands.ask?.(path, what);
      this.away = !answer;
      if (answer && !answer.ok) this.trouble = this.says(answer.body.says) || answer.body.text;
      return answer?.ok ? answer.body : null;
    } catch {
      this.away = true;
      return null;
    } finally {
      this.busy = false;
      this.page.redraw();
    }
  }

  async load() {
    const facts = await this.ask("/api/sensors");
    if (!facts) return;
    this.facts = facts;
    this.page.redraw();
  }

  /** @param {boolean} dry only looks what would come of it */
  async send(dry) {
    if (!this.file || !this.place) return;
    const query = new URLSearchParams({
      ...this.how,
      file: this.file.name,
      place: this.place,
      logger: this.logger,
      crew: this.page.screen.who?.crew ?? "",
    });
    if (dry) query.set("dry", "true");
    const report = await this.ask(`/api/import?${query}`, { file: this.file });
    if (report || !dry) this.report = report ?? this.report;
    else this.report = null;
    this.page.redraw();
  }

  /** @param {string} name @param {string} value */
  answer(name, value) {
    this.how = { ...this.how, [name]: value };
    this.send(true);
  }
}

/** @param {Page} page */
const held = (page) => {
  page.readings ??= new Readings(page);
  return /** @type {Readings} */ (page.readings);
};

/** @param {Readings} it */
const trouble = (it) => (it.trouble ? html`<p class="note bad" role="alert">${swatch("past")}<span>${it.trouble}</span></p>` : nothing);

/** @param {Readings} it */
const away = (it) =>
  html`<section class="sheet"><p role="status">${it.away ? it.told("away") || AWAY[it.lang] : nothing}</p>
    ${it.away ? html`<button type="button" class="act quiet" data-do="again" @click=${() => it.load()}>${it.told("again") || AGAIN[it.lang]}</button>` : nothing}</section>`;

// The only words that the server cannot send: that it is not there.
const AWAY = {
  en: "This needs the kitchen's server, and it does not answer.",
  es: "Esto necesita el servidor de la cocina, y no responde.",
};
const AGAIN = { en: "Try again", es: "Probar otra vez" };

/**
 * @param {string} id
 * @param {string} label
 * @param {{value: string, label: string}[]} options
 * @param {string} now
 * @param {(value: string) => void} choose
 */
const select = (id, label, options, now, choose) => html`<label for=${id}>${label}</label>
  <select id=${id} class="field" @change=${(/** @type {Event} */ event) => choose(/** @type {HTMLSelectElement} */ (event.target).value)}>
    ${options.map((one) => html`<option value=${one.value} .selected=${one.value === now}>${one.label}</option>`)}</select>`;

/** @param {string} id @param {string} label @param {string} text @param {(text: string) => void} typed @param {boolean} [number] */
const field = (id, label, text, typed, number = false) => html`<label for=${id}>${label}</label>
  <input id=${id} class="field" type="text" inputmode=${number ? "numeric" : "text"} autocomplete="off" spellcheck="false" maxlength="40" .value=${text}
    @input=${(/** @type {Event} */ event) => typed(/** @type {HTMLInputElement} */ (event.target).value)} />`;

// ---- a logger's file ----

/** @param {Page} page */
export function importing(page) {
  const it = held(page);
  if (!it.facts) return away(it);
  if (it.report && !it.report.dry) return finished(it);
  const places = [
    { value: "", label: it.told("placeFirst") },
    ...it.facts.places.map((/** @type {any} */ p) => ({ value: p.id, label: it.says(p.name) })),
  ];
  const again = () => it.file && it.send(true);
  const taken = (/** @type {Event} */ event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    it.file = input.files?.[0] ?? null;
    it.how = {};
    it.report = null;
    it.send(true);
  };
  return html`<section class="sheet ask">
      ${select("import-place", it.told("place"), places, it.place, (value) => {
        it.place = value;
        it.report = null;
        again();
        page.redraw();
      })}
      ${field("import-logger", it.told("logger"), it.logger, (text) => {
        it.logger = text;
      })}<p class="what">${it.told("loggerHow")}</p>
      <label class=${it.place ? "act camera" : "act quiet camera"}><span>${it.file ? it.file.name : it.told("choose")}</span><input ?disabled=${!it.place} type="file" accept=".csv,.txt,.tsv,text/csv,text/plain" @change=${taken} /></label>
      <p class="what" role="status">${it.busy ? it.told("reading") : it.told("chooseHow")}</p>${trouble(it)}</section>
    ${it.away ? away(it) : nothing}${it.report ? preview(it) : nothing}`;
}

/** @param {Readings} it */
function preview(it) {
  const { report } = it;
  const columns = report.columns.map((/** @type {string} */ label, /** @type {number} */ i) => ({ value: String(i + 1), label }));
  const at = (/** @type {number} */ i) => (i >= 0 ? String(i + 1) : "");
  const none = { value: "", label: "–" };
  const pair = (/** @type {string} */ k, /** @type {any} */ v) => html`<div><dt>${k}</dt><dd>${v}</dd></div>`;
  return html`${(report.questions ?? []).map((/** @type {any} */ q) => question(it, q))}
    <section class="sheet ask"><h2>${it.file?.name}</h2>
      <div class="wide" tabindex="0" role="region" aria-label=${it.told("file")}><table class="sample"><thead><tr>${report.columns.slice(0, 12).map((/** @type {string} */ c, /** @type {number} */ i) => html`<th scope="col" class=${[report.time, report.date, report.temp].includes(i) ? "used" : ""}>${c}</th>`)}</tr></thead>
        <tbody>${(report.sample ?? []).map((/** @type {string[]} */ row) => html`<tr>${row.map((cell) => html`<td>${cell}</td>`)}</tr>`)}</tbody></table></div>
      ${select("import-time", it.told("time"), [none, ...columns], at(report.time), (value) => it.answer("time", value))}
      ${select("import-date", it.told("date"), [{ value: "", label: it.told("dateSame") }, ...columns], at(report.date), (value) => it.answer("date", value))}
      ${select("import-temp", it.told("temp"), [none, ...columns], at(report.temp), (value) => it.answer("temp", value))}
      <label class="row check"><input type="checkbox" .checked=${it.how.twice === "order"} @change=${(/** @type {Event} */ event) => it.answer("twice", /** @type {HTMLInputElement} */ (event.target).checked ? "order" : "")} /><span>${it.told("twice")}</span></label>
      <dl class="kv">${pair(it.told("written"), `${report.charset}, ${report.delimiter === "\t" ? "tab" : report.delimiter}${report.unit ? `, ${report.unit}` : ""}`)}
        ${pair(it.told("rows"), report.rows)}
        ${report.first ? html`${pair(it.told("first"), html`${report.first}<br />${report.last}`)}${pair(it.told("values"), it.told("between", report.low, report.high))}` : nothing}
        ${report.questions?.length ? nothing : html`${pair(it.told("new"), report.kept)}${pair(it.told("known"), report.known)}`}</dl></section>
    ${badRows(it)}
    ${report.questions?.length ? nothing : html`<section class="sheet tight"><button type="button" class="act" data-do="keep" ?disabled=${it.busy || !report.kept} @click=${() => it.send(false)}><span>${report.kept ? it.told("keep", report.kept) : it.told(report.known ? "none" : "nothing")}</span></button></section>`}`;
}

/** @param {Readings} it @param {any} q */
const question = (it, q) =>
  html`<section class="sheet rows"><h2>${it.says(q.text)}</h2><ul class="rowlist">${q.choices.map(
    (/** @type {any} */ c) =>
      html`<li><button type="button" class="row" data-answer=${c.value} @click=${() => it.answer(q.name, c.value)}><span class="tickmark"></span><span class="words"><b>${it.says(c.text)}</b></span></button></li>`,
  )}</ul></section>`;

/** @param {Readings} it */
function badRows(it) {
  const { bad, badRows } = it.report;
  if (!badRows) return html`<p class="note plain">${it.told("badNone")}</p>`;
  return html`<section class="sheet"><h2 class="marked">${swatch("past")}<span>${it.told("bad")}: ${badRows}</span></h2>
    <dl class="kv">${bad.map((/** @type {any} */ b) => html`<div><dt>${it.told("row", b.row)}</dt><dd>${it.says(b.text)}</dd></div>`)}</dl>
    ${badRows > bad.length ? html`<p>${it.told("badMore", badRows - bad.length)}</p>` : nothing}</section>`;
}

/** @param {Readings} it */
const finished = (it) => html`<section class="sheet" role="status"><h2 class="marked">${tick()}<span>${it.told("done")}</span></h2>
  <p>${it.told("doneLine", it.report.kept, it.report.known, it.report.badRows)}</p></section>${it.report.badRows ? badRows(it) : nothing}`;

// ---- sensors ----

/** @param {Page} page */
export function sensors(page) {
  const it = held(page);
  if (!it.facts) return away(it);
  return html`${it.away ? away(it) : nothing}${it.token ? token(it) : pairing(it)}${(it.facts.sensors ?? []).map((/** @type {any} */ one) => taking(it, one))}`;
}

/** @param {Readings} it */
const token = (it) => html`<section class="sheet" role="status"><h2>${it.told("token")}</h2><p class="token" data-token>${it.token}</p>
  <p>${it.told("tokenHow", `${location.origin}/api/readings`)}</p></section>`;

/** @param {Readings} it */
function pairing(it) {
  const chosen = new Set((it.how.places ?? "").split(" ").filter(Boolean));
  const make = async () => {
    const made = await it.ask("/api/sensors", {
      json: {
        crew: it.page.screen.who?.crew ?? "",
        name: it.how.name ?? "",
        places: [...chosen],
        minutes: Number(it.how.minutes ?? "5") || 0,
      },
    });
    if (!made) return;
    it.token = made.token;
    await it.load();
  };
  const mark = (/** @type {string} */ id, /** @type {boolean} */ on) => {
    if (on) chosen.add(id);
    else chosen.delete(id);
    it.how.places = [...chosen].join(" ");
  };
  return html`<section class="sheet ask"><h2>${it.told("pair")}</h2>
    ${field("sensor-name", it.told("pairName"), it.how.name ?? "", (text) => {
      it.how.name = text;
    })}
    ${field(
      "sensor-every",
      it.told("pairEvery"),
      it.how.minutes ?? "5",
      (text) => {
        it.how.minutes = text;
      },
      true,
    )}
    <fieldset class="checks"><legend>${it.told("pairPlaces")}</legend>${it.facts.places.map(
      (/** @type {any} */ p) =>
        html`<label class="row check"><input type="checkbox" value=${p.id} .checked=${chosen.has(p.id)} @change=${(/** @type {Event} */ event) => mark(p.id, /** @type {HTMLInputElement} */ (event.target).checked)} /><span>${it.says(p.name)}</span></label>`,
    )}</fieldset>
    ${trouble(it)}<button type="button" class="act" data-do="pairsensor" ?disabled=${it.busy} @click=${make}>${it.told("pairDo")}</button></section>`;
}

/** @param {Readings} it @param {any} one */
function taking(it, one) {
  const ask = () => {
    it.sure = it.sure === one.id ? null : one.id;
    it.page.redraw();
  };
  const off = async () => {
    await it.ask("/api/sensors/unpair", { json: { crew: it.page.screen.who?.crew ?? "", sensor: one.id, reason: "" } });
    it.sure = null;
    await it.load();
  };
  const name = it.says(one.name);
  return html`<section class="sheet tight"><p><b>${name}</b> <small>${one.detail}</small></p>
    ${it.sure === one.id ? html`<p>${it.told("unpairSure", name)}</p><button type="button" class="act stop" data-do="unpair" @click=${off}>${it.told("unpair")}</button>` : html`<button type="button" class="act quiet" data-do="askunpair" aria-label=${`${name}: ${it.told("unpair")}`} @click=${ask}>${it.told("unpair")}</button>`}</section>`;
}
