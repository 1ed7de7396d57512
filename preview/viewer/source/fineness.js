// How fine pictures in motion are drawn: as fine as the device draws them in time.

// Shares of the sides of the window. A coarser one is taken at once when a picture is late; a finer
// one when so many in a row would have had the time for it.
export const SHARES = [1, 0.7, 0.5, 0.35, 0.25];
const WANTED_MS = 33;
const LATE_MS = 50;
const IN_A_ROW = 3;

export class Fineness {
  constructor() {
    this.known = false; // whether anything has been measured
    this.rung = 0;
    this.room = 0;
  }

  get share() {
    return SHARES[this.rung];
  }

  /**
   * Take note of what a picture took.
   * @param live whether it was one in motion; any other counts only if it is late, as those of the
   *   full size do before anything moves.
   * @param share of the sides at which it was drawn, @param ms that it took.
   * @returns whether pictures in motion are drawn otherwise from now on.
   */
  learn({ live, share }, ms) {
    const { rung, known } = this;
    this.known = true;
    // Time goes with the pixels; what it takes beside them makes this too careful, not too bold.
    const fits = (to) => ms * (to / share) ** 2 <= WANTED_MS;
    if (ms > LATE_MS && share <= this.share) {
      const first = SHARES.findIndex((to) => to < share && fits(to));
      this.rung = first < 0 ? SHARES.length - 1 : first;
    } else if (live && share === this.share && rung > 0) {
      this.room = fits(SHARES[rung - 1]) ? this.room + 1 : 0;
      if (this.room >= IN_A_ROW) this.rung -= 1;
    }
    if (rung !== this.rung) this.room = 0;
    return rung !== this.rung || !known;
  }
}
