// How fast a phone plays a night of practice, and whether its page stays smooth meanwhile. Prints figures as JSON.
import { Kitchen } from "../lib/kitchen.js";
import { middle, most, scale, slowly } from "./slowly.js";

const nights = 5;
const wholeNight = 5; // its place on the ladder: twelve hours
const closing = [];
const t = { after: (close) => closing.unshift(close) };
try {
  console.log(JSON.stringify(await measure()));
} finally {
  for (const close of closing) await close();
}

async function measure() {
  const kitchen = await Kitchen.bare(t);
  const phone = await kitchen.phoneThatSleeps("Teo");
  await phone.isHeldBy("Teo");
  const { page } = phone;
  const times = [];
  const drops = [];
  const still = [];
  for (let i = 0; i < nights; i++) {
    await phone.goesWithin("/practice");
    await page.locator("button[data-do=page-practice]").nth(wholeNight).click();
    await page.waitForFunction(() => document.documentElement.dataset.mode === "practice");
    for (let k = 0; k < 2; k++) await phone.pokes(page.locator(".pacing [data-do=practice-pace]").nth(1));
    const quiet = await slowly(phone.own, () => page.evaluate(frames, 2000));
    const { ran, dropped, worst, count, hours } = await slowly(phone.own, () => page.evaluate(play));
    if (hours < 12) throw new Error(`the night has only ${hours} hours`);
    console.error(
      `  night ${i + 1}: ran ${ran.toFixed(0)} ms, ${dropped} of ${count} frames dropped, the longest ${worst.toFixed(0)} ms; at rest ${quiet.dropped} of ${quiet.count}`,
    );
    times.push(ran);
    drops.push(dropped);
    still.push(quiet.dropped);
    await phone.pokes(page.locator("main [data-do=page-practice-end]"));
    await page.waitForURL((url) => url.pathname === "/practice");
  }
  return [
    most("practice: 12 h played, slowed 4x", middle(times) / 1000, "s", 2),
    scale("practice: frames dropped at rest, slowed 4x", middle(still), "frames"),
    most("practice: frames dropped while 12 h are played, slowed 4x", middle(drops), "frames", 0),
  ];
}

/** Counts the frames of so many ms, and those that came late. */
function frames(ms) {
  return new Promise((done) => {
    const began = performance.now();
    let [last, count, dropped] = [began, 0, 0];
    const look = (at) => {
      count++;
      if (at - last > 25) dropped += Math.round((at - last) / 16.7) - 1;
      last = at;
      if (at - began < ms) requestAnimationFrame(look);
      else done({ count, dropped });
    };
    requestAnimationFrame((at) => {
      last = at;
      requestAnimationFrame(look);
    });
  });
}

/** Plays a night to its end: only the time counts in which its own time runs, and only the frames of that. */
function play() {
  return new Promise((done) => {
    const root = document.documentElement;
    const clock = () => document.querySelector("header.top time").getAttribute("datetime");
    const [from] = [clock()];
    let [ran, count, dropped, worst, last, since] = [0, 0, 0, 0, 0, 0];
    const press = (name) => document.querySelector(`[data-do=${name}]`).click();
    const look = (at) => {
      const running = Boolean(document.querySelector("[data-do=practice-stop]"));
      if (running && last) {
        count++;
        const took = at - last;
        worst = Math.max(worst, took);
        if (took > 25) dropped += Math.round(took / 16.7) - 1;
      }
      last = running ? at : 0;
      if (!running) {
        const { view } = root.dataset;
        if (since && view !== "line") {
          ran += performance.now() - since;
          since = 0;
        }
        if (view === "debrief") return done({ ran, count, dropped, worst, hours: (Date.parse(clock()) - Date.parse(from)) / 3_600_000 });
        if (view === "trouble") press("practice-reply");
        else if (!since) {
          since = performance.now();
          press("practice-go");
        }
      }
      requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
  });
}
