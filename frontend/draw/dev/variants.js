// Screens that no file holds: the same ones in other circumstances.

const min = 60_000;

/** @param {Record<string, any>} all */
export function variants(all) {
  const line = all.line;
  const bell = { can: true, text: "This phone rings" };
  const silent = {
    can: false,
    text: "This phone cannot ring yet",
    title: "This phone cannot ring yet",
    lines: ["Its sound is locked until you tap once. Other phones do ring: 4 of 5."],
    action: { label: "Let it ring", small: "plays the bell once", style: "act", page: "sound" },
  };
  const out = { in: "phone", text: "On this phone: 3 waiting, out of touch since 11:17", waiting: 3, since: line.now.kitchen - 21 * min };
  const plain = (/** @type {string} */ kind, /** @type {any[]} */ parts) => ({
    ...line,
    kind,
    path: `/${kind}`,
    place: undefined,
    title: kind,
    back: { to: "/more", label: "More" },
    bell,
    facts: undefined,
    parts,
  });
  return {
    "reading.open": { ...all.reading, refusal: undefined },
    "line.bell": { ...line, bell },
    "line.out": { ...line, bell, saved: out },
    "line.silent": { ...line, bell: silent },
    "line.busy": {
      ...line,
      bell,
      undo: {
        text: "Tub 3 drained",
        detail: "11:38:02, Inés",
        until: line.now.kitchen + 7000,
        label: "Undo {0} s",
        do: { do: "undo", entry: "x" },
      },
    },
    "ring.past": {
      ...all.ring,
      ring: {
        ...all.ring.ring,
        bell: "b2",
        state: "past",
        level: "danger",
        name: "Tray B",
        deed: "Discard 5 pieces now",
        left: { at: line.now.kitchen - 3 * min, overPost: " over" },
        sub: [{ t: "Past limit, limit was 11:35" }],
        caution: { title: "Doubtful food", lines: ["Do not serve, reheat or taste."] },
        late: undefined,
      },
    },
    "ring.calm": {
      ...all.ring,
      ring: {
        ...all.ring.ring,
        bell: "b3",
        state: "best",
        level: "info",
        name: "Tub 3",
        deed: "Coat into pans now",
        left: { at: line.now.kitchen + 62 * min, pre: "best for " },
        sub: undefined,
        caution: { title: "Raw poultry", lines: ["Wash hands 20 s, before and after."] },
        late: undefined,
        also: undefined,
      },
    },
    settings: plain("settings", [{ p: "settings" }]),
    ringtest: plain("ring", [
      { p: "note", line: [{ t: "This phone rings while it is open and awake. No phone rings when it is locked." }] },
      { p: "ringtest" },
    ]),
    code: plain("devices", [
      { p: "qr", text: "http://192.168.1.20:8080/join?code=7K3M9P", caption: "Let the new phone's camera look at this." },
      { p: "note", line: [{ t: "The code works once, until " }, { t: "11:48", b: 1 }], tone: "quiet" },
    ]),
    deviations: plain("deviations", [
      {
        p: "fault",
        title: "Tub 4 was drained twice",
        lines: ["Inés at 11:02, Teo at 11:09.", "Look which one is so, then say."],
        actions: [{ label: "Say what was so", style: "act", to: "/deviation/1" }],
      },
      { p: "note", line: [{ t: "Nothing else is open." }], tone: "bad" },
      {
        p: "empty",
        title: "Nothing needs a hand",
        line: [{ t: "The next one is " }, { t: "Tub 6", b: 1 }, { t: ": it may be drained from 04:30." }],
        actions: [{ label: "Start a tub", style: "plain", to: "/start" }],
      },
    ]),
    "pads.two": plain("portion", [
      {
        p: "pad",
        name: "g",
        label: "Coated",
        text: "9",
        unit: "kg",
        limit: [{ t: "at most 9.4 kg" }],
        verdict: [{ t: "10.2 kg is 0.8 kg over what the tub held" }],
        bad: 1,
      },
      { p: "pad", name: "n", label: "Pans", text: "2", unit: "pans", whole: 1 },
    ]),
  };
}
