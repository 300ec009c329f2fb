// A day that is over, looked back on: what it cost against its plan, what would have saved most, and as a table.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

test("yesterday is looked back on: against its plan, the one change that would have saved most, the best in hindsight, without the kitchen too", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, ines] = await kitchen.phones("Maren", "Inés");
  await maren.isHeldBy("Maren");
  await ines.isHeldBy("Inés");
  await maren.goesWithin("/plan/after");
  await maren.sees(/cost \d+\.\d\d\s?USD, by its plan \d+\.\d\d\s?USD/);
  await maren.looks("after.list.en");
  await maren.pokes(maren.page.locator("a[href^='/plan/after/']").nth(1));
  await maren.sees(/The day cost \d+\.\d\d\s?USD: \d+\.\d\d\s?USD (more|less) than its plan would have/);
  await maren.sees("What would have saved most");
  await maren.sees(/would have (saved|cost) .*USD/);
  await maren.sees("17 turned away"); // as the day's taps add up
  await maren.sees("342 sold");
  await maren.sees(/9, planned 10/);
  await maren.sees(/Past its limit, bone-in: \d+\.\d\d\s?USD/);
  await maren.sees(/Knowing what would be asked for, \d+\.\d\d\s?USD was possible/, 40_000);
  assert.ok((await maren.page.locator("main svg.chart").count()) >= 4);
  await maren.looks("after.day.en");

  // without the kitchen all of it is there but the days before
  const day = new URL(maren.page.url()).pathname;
  await ines.holdsAll();
  await ines.wifi.off();
  await ines.goesWithin(day);
  await ines.sees(/El día costó \d+,\d\d\s?USD/);
  await ines.sees("Lo que más habría ahorrado");
  await ines.sees(/Sabiendo lo que se pediría, \d+,\d\d\s?USD era posible/, 40_000);
  await ines.sees("Sin conexión: los días anteriores a ayer");
  await ines.looks("after.day.es");
});
