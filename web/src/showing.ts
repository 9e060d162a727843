// The meant way shown: with the scrubber, or as a whole.
import { calm } from "./dom";
import type { Play } from "./play";
import { folded } from "./situation";
import type { Track } from "./way";

/** slow is how long a stretch of the way is shown, ms for the whole range of what moves. */
export const slow = 1300;

export class Showing {
  playing = false;
  track: Track | null = null;
  place = 0; // along the way
  private running: Promise<void> = Promise.resolve();

  constructor(private readonly play: Play) {}

  /** halt ends the playing of the way. */
  async halt(): Promise<void> {
    this.playing = false;
    await this.running;
  }

  /** along shows the way at a place; only a place between two moves is one to play on from where parts fall. */
  along(x: number, rest: boolean): void {
    const s = this.play.stage;
    const t = this.track;
    if (!s || !t) return;
    const place = rest && s.directed ? t.nearest(x) : x;
    const to = t.at(place);
    if (!to) return;
    this.play.forget();
    this.play.session.shown = true;
    this.place = place;
    this.play.now = folded(s, to.now);
    this.play.view.pose(to.now);
    const scrub = document.getElementById("scrub") as HTMLInputElement | null;
    if (scrub && Number(scrub.value) !== place) scrub.value = String(place);
    this.play.say(to.words, true);
    if (!rest) return;
    this.play.show();
    void this.play.measure();
  }

  /** whole plays the way from where the scrubber stands; asked once more it stops there. */
  async whole(): Promise<void> {
    const t = this.track;
    if (!t || t.empty || this.playing) {
      this.playing = false;
      return;
    }
    await this.play.idle();
    this.playing = true;
    this.running = this.run(t, this.place >= t.long ? 0 : this.place);
    await this.running;
  }

  private async run(t: Track, x: number): Promise<void> {
    this.play.forget();
    this.place = x;
    this.play.show();
    let last = performance.now();
    while (this.playing && x < t.long) {
      const now = await new Promise<number>((r) => requestAnimationFrame(r));
      x = Math.min(t.long, x + Math.max(0, now - last) / slow);
      last = now;
      if (this.playing) this.along(calm() ? t.beside(x + 1e-3, -1) : x, false);
    }
    if (t !== this.track) return;
    this.playing = false;
    this.along(x, true);
    if (x >= t.long) this.play.say(`That is the goal: ${this.play.stage?.goal}.`);
  }
}
