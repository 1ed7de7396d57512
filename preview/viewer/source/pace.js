// How long the device works on a picture: what it was asked for lies in its queue, so that nothing
// here waits for it, and a fence behind each picture tells when it is through.
const LOOK_MS = 2;
// A driver that has been taken away answers never.
const FORGET_MS = 10_000;

export class Pace {
  /** @param told gets what was given to `fence`, and the milliseconds that it took. */
  constructor(gl, told) {
    this.gl = gl;
    this.told = told;
    this.queue = [];
    this.free = 0; // when the device had nothing more to do
  }

  /** All that was asked for since the fence before belongs to `what`; null: it is not to be told of. */
  fence(what) {
    const { gl } = this;
    const sync = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    if (!sync) return;
    gl.flush();
    this.queue.push({ sync, what, asked: performance.now(), then: [] });
    this.looking ??= setTimeout(() => this.look(), LOOK_MS);
  }

  /** Whether the device still works on anything. */
  get busy() {
    return this.queue.length > 0;
  }

  /** Resolves when the device is through with all that it was asked for. */
  through() {
    const last = this.queue.at(-1);
    return last ? new Promise((done) => last.then.push(done)) : Promise.resolve();
  }

  look() {
    const { gl, queue } = this;
    const now = performance.now();
    while (queue.length) {
      const [{ sync, what, asked, then }] = queue;
      const through = gl.getSyncParameter(sync, gl.SYNC_STATUS) === gl.SIGNALED;
      if (!through && now - asked < FORGET_MS) break;
      gl.deleteSync(sync);
      queue.shift();
      // What waits in the queue is not worked on yet.
      if (through && what) this.told(what, now - Math.max(asked, this.free));
      this.free = now;
      for (const done of then) done();
    }
    this.looking = queue.length ? setTimeout(() => this.look(), LOOK_MS) : null;
  }
}
