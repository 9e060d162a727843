// Playing the box: what is done to it, as far as the program says that it goes; moves
// are counted and taken back; the way is shown.
import { ask, Refused } from "./ask";
import { fill, find } from "./dom";
import { drag } from "./drag";
import { panel, travels } from "./hand";
import { keys } from "./keys";
import { Judge } from "./judge";
import { Pointing } from "./point";
import type { View } from "./scene";
import { Session } from "./session";
import { folded, follow, home, next, same, type Situation } from "./situation";
import { Showing, slow as slowest } from "./showing";
import { Track } from "./way";
import type { Onward, Pose, Proof, Pull, Pulled, Room, Rooms, Spot, Stage, Taken, Turned, Want } from "./wire";

/** Made is one move that was played. */
interface Made {
  kind: string; // hand, turn, take
  part: number;
  from: Situation;
  to: Situation;
  closed: boolean; // something moved when the hand let go: the next stroke is another move
}

/** How long what moves takes to be shown, ms for all of its range. */
const slow = { drag: 140, step: 700, turn: 900, shown: slowest };

/** verdictFirst is how long a new stage waits for its verdict before it is asked how far the part in hand goes, ms. */
const verdictFirst = 3000;

export class Play {
  now: Situation | null = null;
  stage: Stage | null = null;
  chosen = -1;
  rooms: Room[] = [];
  measured: Situation | null = null; // the situation that the rooms are of
  readonly showing = new Showing(this);
  readonly pointing = new Pointing(this);
  session = new Session();
  heard: () => void = () => undefined; // called when something was played
  readonly made: Made[] = [];
  private first: Situation | null = null; // where everything has come to rest
  private proof: Proof | null = null;
  private measuring: AbortController | null = null;
  readonly judge = new Judge(this);
  private readonly under = find("under");

  constructor(readonly view: View) {
    drag(this);
    keys(this);
  }

  /** open begins with a new stage; what was played is kept if it is the same box. */
  open(stage: Stage, same: boolean): void {
    const now = this.now;
    const keep = same && now?.config.length === stage.start.length && now.tools.length === stage.tools.length && now.up < stage.ups.length;
    this.stage = stage;
    this.first = home(stage);
    this.rested = null;
    this.showing.track = null;
    this.proof = null;
    this.rooms = [];
    this.showing.playing = false;
    if (!keep) {
      this.now = this.first;
      this.forget();
      this.session = new Session();
      this.chosen = this.movable()[0] ?? -1;
    }
    this.view.pose(this.now ?? this.first);
    this.view.choose(this.chosen);
    this.show();
    clearTimeout(this.later);
    // the verdict goes before: how far the part goes takes the program as much as a good part of it
    if (!stage.directed) this.later = window.setTimeout(() => void this.measure(), verdictFirst);
  }
  private later = 0;

  /** waits: a new verdict is being worked out, which goes before what was asked about the old box. */
  waits(): void {
    this.measuring?.abort();
  }

  /** prove takes up a finished proof: the meant way. */
  prove(p: Proof): void {
    this.proof = p;
    clearTimeout(this.later);
    if (p.partial && this.stage?.directed) return; // what falls and is pushed is not told yet
    this.showing.track = this.stage && new Track(this.stage, p);
    this.showing.place = 0;
    this.show();
    void this.ready().then((is) => is && this.settled());
  }

  private rested: Promise<boolean> | null = null;

  /** ready waits until everything has come to rest; only where parts fall or are pushed does that ask for anything. */
  private ready(): Promise<boolean> {
    const s = this.stage;
    if (!s?.directed) return Promise.resolve(s !== null);
    this.rested ??= ask<Pulled>("POST", "/api/play/begin", { stage: s.id, config: s.start, part: 0, growth_mm: 0 } satisfies Spot).then((p) => {
      if (this.stage !== s) return false;
      const untouched = this.made.length === 0 && this.now && same(this.now, home(s));
      this.first = next(s, home(s), p);
      if (untouched) {
        this.now = this.first;
        void this.view.glide(follow(s, home(s), p.frames), slow.turn);
      }
      return true;
    }).catch((e: unknown) => {
      if (this.stage === s) this.rested = null;
      this.excuse(e);
      return false;
    });
    return this.rested;
  }

  /** movable lists the parts that a hand moves. */
  movable(): number[] {
    const s = this.stage;
    return s ? s.parts.map((_, i) => i).filter((i) => this.byHand(i).length > 0) : [];
  }

  /** byHand lists the travels of a part that the hand moves. */
  byHand(part: number): number[] {
    const s = this.stage;
    return (s?.parts[part]?.travels ?? []).filter((t) => s?.travels[t]?.moved === "hand");
  }

  choose(part: number): void {
    if (part === this.chosen || !this.stage?.parts[part]) return;
    this.chosen = part;
    this.rooms = [];
    this.view.choose(part);
    this.show();
    void this.measure();
  }

  /** stand shows a situation without counting it. */
  async stand(p: Pose, first = ""): Promise<void> {
    await this.showing.halt();
    const s = this.stage;
    if (!s || !this.now) return;
    this.now = next(s, this.now, p);
    this.rooms = [];
    void this.view.glide([this.now], slow.shown);
    this.say(`${first} Shown, not played. Take back or start again to play on.`.trim());
    this.show();
    void this.measure();
  }

  /** spot is where everything stands, for the program. */
  spot(part: number): Spot {
    const n = this.now;
    return { stage: this.stage?.id ?? "", config: n?.config ?? [], up: n?.up ?? 0, tools: n?.tools ?? [], part, growth_mm: 0 };
  }

  private pulling(want: Want[], hold: boolean): Pull {
    const { stage, config, up, tools, growth_mm } = this.spot(this.chosen);
    return { stage, config, growth_mm, want, hold, ...(up === undefined ? {} : { up }), ...(tools === undefined ? {} : { tools }) };
  }

  /** measure asks how far the chosen part goes from here. */
  async measure(): Promise<void> {
    const part = this.chosen;
    if (!this.stage || part < 0 || !(await this.ready())) return;
    this.measuring?.abort();
    this.measuring = new AbortController();
    const now = this.now;
    try {
      const r = await ask<Rooms>("POST", "/api/play/room", this.spot(part), this.measuring.signal);
      if (part !== this.chosen) return;
      this.rooms = r.rooms;
      this.measured = now;
      travels(this);
    } catch (e) {
      this.excuse(e);
    }
  }

  private excuse(e: unknown): void {
    if (e instanceof Refused) this.say(e.message);
    else if (!(e instanceof DOMException) && !(e instanceof TypeError)) throw e;
  }

  private line: Promise<unknown> = Promise.resolve();
  private waiting = 0;

  /** idle waits until what was begun is done. */
  async idle(): Promise<void> {
    await this.line;
  }

  /** inTurn does one thing after the other. */
  private async inTurn(act: () => Promise<void>): Promise<void> {
    this.waiting++;
    const mine = this.line.then(async () => {
      try {
        await this.showing.halt();
        if (await this.ready()) await act();
      } catch (e) {
        this.excuse(e);
      } finally {
        this.waiting--;
      }
    });
    this.line = mine.catch(() => undefined);
    await mine;
  }

  /** done asks what comes of something done to the box, and brings it there. */
  private async done(path: string, body: Pull | Turned | Taken, ms: number, hold = false): Promise<Pulled | null> {
    const s = this.stage;
    const p = await ask<Pulled>("POST", path, body);
    if (!s || s !== this.stage || !this.now) return null;
    const begins = this.now;
    const frames = follow(s, begins, p.frames);
    const end = next(s, frames.at(-1) ?? begins, p);
    this.now = hold || !s.directed ? end : folded(s, end);
    if (ms > 0) void this.view.glide(frames.length > 0 ? frames : [end], ms, begins);
    else this.view.pose(end);
    if (p.goal && !hold) this.session.meet();
    return p;
  }

  /** pull draws the part in hand towards values, as far as it goes; with hold the hand does not let go. */
  async pull(want: Want[], hold: boolean, ms = hold ? slow.drag : slow.step): Promise<Pulled | null> {
    try {
      if (!(await this.ready())) return null;
      const p = await this.done("/api/play/pull", this.pulling(want, hold), this.stage?.directed ? ms : 0, hold);
      if (p?.words && !hold) this.say(this.told(`${this.name(this.chosen)}: ${p.words}`, p));
      else if (p && p.effects.length > 0 && !hold) this.say(this.told("", p));
      if (p?.goal && !hold) this.say(`The goal is met: ${this.stage?.goal}.`);
      return p;
    } catch (e) {
      this.excuse(e);
      return null;
    }
  }

  /** told is what happened, with what moved that the hand did not move. */
  private told(first: string, p: Pulled): string {
    return [first, ...p.effects.map((e) => e.words)].filter((w) => w !== "").join(". ");
  }

  /** turn turns the box. */
  turn(to: number): Promise<void> {
    return this.inTurn(async () => {
      const before = this.now;
      const p = await this.done("/api/play/turn", { ...this.spot(0), to }, slow.turn);
      if (!p || !before) return;
      this.say(`${this.told(upper(p.frames[0]?.words ?? ""), p)}${p.effects.length === 0 ? ". Nothing falls." : "."}`);
      this.note("turn", -1, before);
    });
  }

  /** take puts a tool into another of its places. */
  take(tool: number, seat: number): Promise<void> {
    return this.inTurn(async () => {
      const before = this.now;
      const p = await this.done("/api/play/take", { ...this.spot(0), tool, seat }, slow.turn);
      if (!p || !before) return;
      this.say(`${this.told(upper(p.frames[0]?.words ?? ""), p)}.`);
      this.note("take", this.stage?.tools[tool]?.seats[seat] ?? -1, before);
    });
  }

  /** nudge moves a travel by a step, or as far as it goes. */
  async nudge(travel: number, sign: number, far: boolean): Promise<void> {
    const k = this.stage?.travels[travel];
    if (!k || this.waiting > 1) return;
    await this.inTurn(async () => {
      const before = this.now;
      if (!before) return;
      const by = far ? (k.full_turn ? 180 : 1e4) : k.unit === "mm" ? 1 : 5;
      const room = this.rooms.find((r) => r.travel === travel);
      const p = await this.pull([{ travel, value: (before.config[travel] ?? 0) + sign * by }], false);
      if (!p || !this.now) return;
      if (same(before, this.now)) this.say(`${this.name(this.chosen)} goes no further that way: ${(sign > 0 ? room?.hi.words : room?.lo.words) ?? p.words}`);
      this.note("hand", k.part, before, p.released);
    });
  }

  get playing(): boolean {
    return this.showing.playing;
  }

  name(part: number): string {
    return this.stage?.parts[part]?.name ?? "";
  }

  /** note counts what was moved since before. */
  note(kind: string, part: number, before: Situation, closed = false): void {
    const now = this.now;
    if (!now || same(before, now)) {
      void this.measure();
      return;
    }
    this.session.touch();
    const last = this.made.at(-1);
    if (last && kind !== "take" && last.kind === kind && same(last.from, now)) {
      this.made.pop();
    } else if (last && kind === "hand" && last.kind === kind && last.part === part && !last.closed) {
      last.to = now;
      last.closed = closed;
    } else {
      this.made.push({ kind, part, from: before, to: now, closed });
    }
    this.showing.place = 0;
    this.settled();
  }

  /** settled writes and asks anew what depends on where everything stands. */
  private settled(): void {
    this.show();
    void this.measure();
    void this.judge.ask(this.proof?.document.moves ?? null);
  }

  /** back takes the last move back, with all that was pushed or fell in it. */
  back(): Promise<void> {
    return this.inTurn(async () => {
      const m = this.made.pop();
      if (!m) return;
      this.now = m.from;
      if (m.kind === "hand") {
        this.chosen = m.part;
        this.view.choose(m.part);
      }
      void this.view.glide([this.now], slow.step);
      this.say(`Taken back: ${m.kind === "turn" ? "the turn of the box" : this.name(m.part)}.`);
      this.settled();
    });
  }

  /** again stands everything at the start. */
  again(): Promise<void> {
    return this.inTurn(async () => {
      if (!this.first) return;
      this.now = this.first;
      this.forget();
      void this.view.glide([this.now], slow.step);
      this.say("At the start.");
      this.settled();
    });
  }

  /** forget drops what was played. */
  forget(): void {
    this.made.length = 0;
    this.showing.place = 0;
  }

  /** next makes the next move of a shortest way from here. */
  next(): Promise<void> {
    return this.inTurn(async () => {
      const s = this.stage;
      this.say("Looking for the next move…");
      const o = await ask<Onward>("POST", "/api/play/onward", this.spot(0));
      const m = o.way[0];
      const before = this.now;
      if (!s || s !== this.stage || !before || !m) {
        this.say(o.words);
        return;
      }
      this.session.hints++;
      if (m.kind === "hand") {
        this.chosen = m.part;
        this.rooms = [];
        this.view.choose(m.part);
      }
      const frames = follow(s, before, m.frames);
      this.now = folded(s, frames.at(-1) ?? before);
      void this.view.glide(frames, slow.shown, before);
      const left = o.way.length - 1;
      if (left === 0) this.session.meet();
      const who = m.kind === "hand" ? `${this.name(m.part)}: ` : "";
      this.say(`${who}${who ? m.words.join(", then ") : upper(m.words.join(", then "))}. ${left > 0 ? `${left} more to the goal.` : `The goal is met: ${s.goal}.`}`);
      this.note(m.kind, m.part, before, s.directed);
    });
  }

  /** say tells what happened, in the line under the box; softly what only follows the pointer. */
  say(words: string, soft = false): void {
    fill(this.under, words);
    this.under.dataset["soft"] = soft ? "1" : "";
    if (!soft) fill(find("told"), words);
  }

  /** show writes the panel under the box. */
  show(): void {
    panel(this);
    this.heard();
  }
}

const upper = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);
