// Writes histories.csv: random histories and what ts-fsrs makes of them. The chance is seeded, so that it can be written again.
import { FSRSAlgorithm, generatorParameters } from "ts-fsrs";

let seed = 20261125;
/** Numerical Recipes' linear congruential generator. @param {number} n */
function below(n) {
  seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
  return Math.floor((seed / 2 ** 32) * n);
}

const fsrs = new FSRSAlgorithm(generatorParameters({ enable_fuzz: false, enable_short_term: true }));
console.log("history,days,grade,stability,difficulty,next");
for (let history = 1; history <= 1200; history++) {
  let state = null;
  const length = 1 + below(12);
  for (let i = 0; i < length; i++) {
    const days = i === 0 ? 0 : [0, below(3), below(20), below(400), state ? fsrs.next_interval(state.stability, 0) : 0][below(5)];
    const grade = [1, 2, 3, 3, 3, 4][below(6)];
    state = fsrs.next_state(state, days, grade);
    console.log([history, days, grade, state.stability, state.difficulty, fsrs.next_interval(state.stability, 0)].join(","));
  }
}
