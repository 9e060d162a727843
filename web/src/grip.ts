// A hand that holds a part and draws it along, by the pointer in the picture or by a
// slider, until it lets go.
import type { Play } from "./play";
import { stands } from "./point";
import { same, type Situation } from "./situation";
import type { Want } from "./wire";

export class Grip {
  private before: Situation | null = null;
  private latest: Want[] | null = null;
  private sending: Promise<void> | null = null;
  private readonly also = new Set<string>(); // what moved that the hand did not move

  constructor(
    private readonly play: Play,
    private readonly part: number,
  ) {}

  /** to draws the part towards values of its travels. */
  to(want: Want[]): void {
    this.before ??= this.play.now;
    const only = want.length === 1 && !this.play.stage?.directed ? want[0] : undefined;
    const room = only && this.play.rooms.find((r) => r.travel === only.travel);
    if (only && room) {
      // within the room that is known it follows at once
      this.set(only.travel, Math.min(Math.max(only.value, room.lo.at), room.hi.at));
      const end = only.value > room.hi.at ? room.hi : only.value < room.lo.at ? room.lo : null;
      this.play.say(end ? `${this.play.name(this.part)}: ${end.words}` : stands(this.play, this.part), true);
      return;
    }
    this.latest = want;
    this.sending ??= this.send();
  }

  private set(travel: number, value: number): void {
    const n = this.play.now;
    if (!n) return;
    this.play.now = { ...n, config: n.config.map((v, i) => (i === travel ? value : v)) };
    this.play.view.pose(this.play.now);
  }

  /** send asks for the latest place, until there is no later one. */
  private async send(): Promise<void> {
    while (this.latest) {
      const want = this.latest;
      this.latest = null;
      const p = await this.play.pull(want, true);
      if (!p) continue;
      for (const e of p.effects) this.also.add(`${this.play.name(e.part)} ${e.how}`);
      this.play.say([p.words ? `${this.play.name(this.part)}: ${p.words}` : stands(this.play, this.part), ...this.also].join("; "), true);
    }
    this.sending = null;
  }

  /** drop lets go; what counts is the program's answer. */
  async drop(): Promise<void> {
    await this.sending;
    const before = this.before;
    const now = this.play.now;
    this.before = null;
    if (!before || !now) return;
    const moved = this.play.byHand(this.part).filter((t) => before.config[t] !== now.config[t]);
    const want = moved.map((travel) => ({ travel, value: now.config[travel] ?? 0 }));
    if (!this.play.stage?.directed && want.length === 1) this.play.now = before; // it is drawn along the same stretch once more
    let released = false;
    if (want.length > 0 || !same(before, now)) {
      const held = want.length > 0 ? want : this.play.byHand(this.part).slice(0, 1).map((travel) => ({ travel, value: now.config[travel] ?? 0 }));
      const p = await this.play.pull(held, false, 200);
      released = p?.released ?? false;
      const on = p?.effects.map((e) => e.words) ?? [];
      if (p && !p.goal && this.also.size + on.length > 0) this.play.say([stands(this.play, this.part), ...this.also, ...on].join("; "));
    }
    this.also.clear();
    this.play.note("hand", this.part, before, released);
  }
}
