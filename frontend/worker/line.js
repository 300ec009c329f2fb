// The line is this phone's one websocket to the kitchen: it dials, dials again with jitter, and lets a dead path go.

const DEAD_AFTER = 12_000; // ms without a frame; the core asks for the time every 5 s, so silence means a dead path
const FIRST_WAIT = 250;
const LONGEST_WAIT = 10_000;
const PACK_FROM = 4_096; // bytes; smaller frames gain nothing
const PACKED = 0x7f;
const INFLATED_MOST = 32 << 20; // bytes; more than any honest base

/**
 * redialAfter says how long to wait before the next dial: full jitter below a limit that doubles.
 * @param {number} failures dials in a row that did not open
 * @param {number} chance from 0 up to, not including, 1
 * @returns {number} ms, 250 to 10,000
 */
export function redialAfter(failures, chance) {
  const limit = Math.min(LONGEST_WAIT, FIRST_WAIT * 2 ** Math.min(failures, 10));
  return Math.round(FIRST_WAIT + chance * (limit - FIRST_WAIT));
}

/**
 * unpack inflates a packed frame; any other frame comes back as it is.
 * @param {Uint8Array} frame
 * @param {number} [most] bytes that it may grow to
 * @returns {Promise<Uint8Array>}
 */
export async function unpack(frame, most = INFLATED_MOST) {
  if (frame[0] !== PACKED) return frame;
  const inflater = new DecompressionStream("deflate-raw");
  const writer = inflater.writable.getWriter();
  const written = writer.write(/** @type {BufferSource} */ (frame.subarray(1))).then(() => writer.close());
  written.catch(() => {}); // a bad stream also fails the reading below
  return gather(inflater.readable, most);
}

/**
 * pack deflates a frame where that pays.
 * @param {Uint8Array} frame
 * @returns {Promise<Uint8Array>}
 */
export async function pack(frame) {
  if (frame.length < PACK_FROM || frame[0] === PACKED) return frame;
  const deflater = new CompressionStream("deflate-raw");
  const writer = deflater.writable.getWriter();
  const written = writer.write(/** @type {BufferSource} */ (frame)).then(() => writer.close());
  written.catch(() => {});
  const small = await gather(deflater.readable, INFLATED_MOST);
  const out = new Uint8Array(small.length + 1);
  out[0] = PACKED;
  out.set(small, 1);
  return out.length < frame.length ? out : frame;
}

/**
 * @param {ReadableStream<Uint8Array>} stream
 * @param {number} most
 */
async function gather(stream, most) {
  /** @type {Uint8Array[]} */
  const parts = [];
  let size = 0;
  const reader = stream.getReader();
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    size += next.value.length;
    if (size > most) {
      await reader.cancel();
      throw new Error(`a packed frame grew past ${most} bytes`);
    }
    parts.push(next.value);
  }
  const out = new Uint8Array(size);
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

/**
 * @typedef {object} World what a line needs from outside, so that a test can stand in for it
 * @property {(url: string) => WebSocket} dial
 * @property {() => number} now ms, monotonic
 * @property {() => number} chance 0 up to, not including, 1
 * @property {(run: () => void, ms: number) => number} later
 * @property {(id: number) => void} forget
 */

/** @type {World} */
const REAL = {
  dial: (url) => new WebSocket(url),
  now: () => performance.now(),
  chance: () => Math.random(),
  later: (run, ms) => Number(setTimeout(run, ms)),
  forget: (id) => clearTimeout(id),
};

/** A Line keeps one socket to the kitchen alive until it is stopped. */
export class Line {
  /**
   * @param {string} url
   * @param {{opened: () => void, shut: () => void, frame: (frame: Uint8Array, lag: number) => void}} on lag: ms since the frame arrived
   * @param {World} [world]
   */
  constructor(url, on, world = REAL) {
    this.url = url;
    this.on = on;
    this.world = world;
    /** @type {WebSocket | null} */
    this.socket = null;
    this.open = false;
    this.failures = 0;
    this.heard = 0;
    this.timer = 0;
    this.stopped = true;
    this.inward = Promise.resolve();
    this.outward = Promise.resolve();
  }

  start() {
    this.stopped = false;
    this.#dial();
  }

  stop() {
    this.stopped = true;
    this.world.forget(this.timer);
    this.#detach();
  }

  /** redial hangs up and dials anew after the usual wait: the core found that the two ends do not agree. */
  redial() {
    this.#lost();
  }

  /** hurry dials at once if the line is down: the phone was just looked at. */
  hurry() {
    if (this.stopped) return;
    if (this.open) {
      this.#watch();
      return;
    }
    if (this.socket && this.world.now() - this.heard < 2_000) return; // a dial is under way
    this.#dial();
  }

  /**
   * send hands a frame to the socket, in order; with the line down it is dropped, and the core sends it again after the next hello.
   * @param {Uint8Array} frame
   */
  send(frame) {
    const socket = this.socket;
    this.outward = this.outward.then(async () => {
      const packed = await pack(frame);
      if (socket && socket === this.socket && this.open) socket.send(/** @type {BufferSource} */ (packed));
    });
    this.outward = this.outward.catch(() => this.#lost());
  }

  #dial() {
    this.world.forget(this.timer);
    this.#detach();
    this.heard = this.world.now();
    /** @type {WebSocket} */
    let socket;
    try {
      socket = this.world.dial(this.url);
    } catch {
      this.#again();
      return;
    }
    socket.binaryType = "arraybuffer";
    socket.onopen = () => this.#opened();
    socket.onclose = () => this.#lost();
    socket.onerror = () => {}; // a close follows
    socket.onmessage = (event) => this.#arrived(socket, event.data);
    this.socket = socket;
    this.#watch();
  }

  #opened() {
    this.open = true;
    this.heard = this.world.now();
    this.on.opened();
  }

  /**
   * @param {WebSocket} socket
   * @param {unknown} data
   */
  #arrived(socket, data) {
    const heard = this.world.now();
    this.heard = heard;
    if (!(data instanceof ArrayBuffer)) return; // the kitchen speaks in bytes only
    this.failures = 0; // a socket that only opens and dies keeps its longer waits
    const frame = new Uint8Array(data);
    const arrive = (/** @type {Uint8Array} */ bytes) => {
      if (socket === this.socket) this.on.frame(bytes, this.world.now() - heard);
    };
    this.inward = this.inward.then(async () => arrive(await unpack(frame))).catch(() => this.#lost(socket));
  }

  /** watch looks every second whether the path has gone silent. */
  #watch() {
    this.world.forget(this.timer);
    if (this.world.now() - this.heard >= DEAD_AFTER) {
      this.#lost();
      return;
    }
    this.timer = this.world.later(() => this.#watch(), 1_000);
  }

  /** @param {WebSocket | null} [which] */
  #lost(which = this.socket) {
    if (which !== this.socket || this.stopped) return;
    this.#detach();
    this.#again();
  }

  #again() {
    if (this.stopped) return;
    this.world.forget(this.timer);
    this.timer = this.world.later(() => this.#dial(), redialAfter(this.failures, this.world.chance()));
    this.failures++;
  }

  /** detach lets the socket go without waiting for its close event, which a dead path delivers a minute late. */
  #detach() {
    const socket = this.socket;
    this.socket = null;
    if (socket) {
      socket.onopen = socket.onclose = socket.onerror = socket.onmessage = null;
      try {
        socket.close();
      } catch {
        // it never opened
      }
    }
    if (!this.open) return;
    this.open = false;
    this.on.shut();
  }
}
