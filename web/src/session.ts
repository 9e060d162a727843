// A session of play: when it began, whether the goal was met, what help was taken.
export class Session {
  private began = 0; // by the clock of the page, ms; 0: not yet
  private ended = 0; // when the goal was met
  hints = 0;
  shown = false; // the whole way was shown

  /** touch begins the session with the first thing done. */
  touch(): void {
    if (this.began === 0) this.began = performance.now();
  }

  /** meet ends it: the goal is met. */
  meet(): void {
    this.touch();
    if (this.ended === 0) this.ended = performance.now();
  }

  get met(): boolean {
    return this.ended > 0;
  }

  /** minutes is how long it has lasted, to a tenth; null before it begins. */
  get minutes(): number | null {
    if (this.began === 0) return null;
    return Math.round(((this.ended || performance.now()) - this.began) / 6000) / 10;
  }
}
