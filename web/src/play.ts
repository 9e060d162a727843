// Playing the box: drag or keys, as far as the program says that a part goes; moves
// are counted and taken back; the way is shown.
import { ask, Refused } from "./ask";
import { el, fill, find, round } from "./dom";
import { drag } from "./drag";
import type { View } from "./scene";
import { type Leg, legs } from "./way";
import type { Near, Onward, Proof, Pulled, Pull, Room, Rooms, Spot, Stage, Want } from "./wire";

interface Made {
  part: number;
  from: number[];
  to: number[];
}

export class Play {
  config: number[] = [];
  stage: Stage | null = null;
  private proof: Proof | null = null;
  private made: Made[] = [];
  chosen = -1;
  rooms: Room[] = [];
  private legs: Leg[] = [];
  playing = false;
  private asking: AbortController | null = null;
  private onwards: AbortController | null = null;
  private growth = 0;
  private readonly panel = find("hand");
  private readonly under = find("under");
  private scrub: HTMLInputElement | null = null;

  constructor(readonly view: View) {
    drag(this);
    view.canvas.addEventListener("keydown", (e) => this.key(e));
  }

  /** open begins with a new stage; what was played is kept if it is the same box. */
  open(stage: Stage, same: boolean): void {
    const keep = same && this.config.length === stage.start.length;
    this.stage = stage;
    if (!keep) {
      this.config = stage.start.slice();
      this.made = [];
      this.chosen = stage.parts.findIndex((p) => p.travels.length > 0);
    }
    this.legs = [];
    this.proof = null;
    this.view.pose(this.config);
    this.view.choose(this.chosen);
    this.rooms = [];
    this.show();
    void this.measure();
  }

  /** prove takes up a finished proof: the meant way. */
  prove(p: Proof): void {
    this.proof = p;
    this.legs = legs(this.stage, p);
    this.show();
    void this.judge();
  }

  get part(): number {
    return this.chosen;
  }

  choose(part: number): void {
    if (part === this.chosen || !this.stage?.parts[part]) return;
    this.chosen = part;
    this.rooms = [];
    this.view.choose(part);
    this.show();
    void this.measure();
  }

  /** stand puts the box into a configuration that is shown, without counting it. */
  stand(config: number[]): void {
    const from = this.config;
    this.config = config.slice();
    this.rooms = [];
    void this.view.glide(from, this.config, 500);
    this.say("Shown, not played. Take back or start again to play on.");
    this.show();
    void this.measure();
  }

  private spot(part: number): Spot {
    return { stage: this.stage?.id ?? "", config: this.config, part, growth_mm: this.growth };
  }

  /** measure asks how far the chosen part goes from here. */
  private async measure(): Promise<void> {
    const part = this.chosen;
    if (!this.stage || part < 0) return;
    this.asking?.abort();
    this.asking = new AbortController();
    try {
      const r = await ask<Rooms>("POST", "/api/play/room", this.spot(part), this.asking.signal);
      if (part !== this.chosen) return;
      this.rooms = r.rooms;
      this.travels();
    } catch (e) {
      this.excuse(e);
    }
  }

  private excuse(e: unknown): void {
    if (e instanceof Refused) this.say(e.message);
    else if (!(e instanceof DOMException) && !(e instanceof TypeError)) throw e;
  }

  /** pull draws the chosen part towards values, as far as it goes. */
  async pull(want: Want[], settle: boolean): Promise<Pulled | null> {
    try {
      const p = await ask<Pulled>("POST", "/api/play/pull", { stage: this.stage?.id ?? "", config: this.config, growth_mm: this.growth, want } satisfies Pull);
      this.config = p.config;
      this.view.pose(p.config);
      if (p.words) this.say(`${this.name(this.chosen)}: ${p.words}`, true);
      if (settle && p.goal) this.say(`The goal is met: ${this.stage?.goal}.`);
      return p;
    } catch (e) {
      this.excuse(e);
      return null;
    }
  }

  name(part: number): string {
    return this.stage?.parts[part]?.name ?? "";
  }

  /** note counts what was moved since before. */
  note(part: number, before: number[]): void {
    if (before.every((v, i) => Math.abs(v - (this.config[i] ?? 0)) < 1e-3)) return;
    const last = this.made.at(-1);
    if (last && last.part === part) {
      last.to = this.config.slice();
      if (last.from.every((v, i) => Math.abs(v - (last.to[i] ?? 0)) < 1e-3)) this.made.pop();
    } else {
      this.made.push({ part, from: before, to: this.config.slice() });
    }
    this.show();
    void this.measure();
    void this.judge();
  }

  /** judge asks how many moves are left from here, and says where play leaves the meant way. */
  private async judge(): Promise<void> {
    const out = document.getElementById("left");
    this.onwards?.abort();
    if (!this.proof || !out || !this.stage) return;
    const fewest = this.proof.document.moves;
    if (this.made.length === 0) {
      fill(out, fewest === null ? "" : `The meant way has ${fewest} moves.`);
      return;
    }
    this.onwards = new AbortController();
    fill(out, "Counting the moves that are left…");
    try {
      const o = await ask<Onward>("POST", "/api/play/onward", this.spot(0), this.onwards.signal);
      const left = o.there ? 0 : o.runs.length;
      let words = o.words;
      if (!o.there && o.runs.length === 0) words = o.words;
      else if (fewest !== null && this.made.length + left > fewest) {
        const more = this.made.length + left - fewest;
        words += `. This leaves the meant way: ${more} ${more === 1 ? "move" : "moves"} more than its ${fewest}.`;
      } else if (fewest !== null) words += o.there ? ` With ${this.made.length} moves; no way has fewer.` : ", on the meant way or one as short.";
      fill(out, words);
    } catch (e) {
      if (!(e instanceof DOMException)) fill(out, "How many moves are left could not be told.");
    }
  }

  /** back takes the last move back. */
  async back(): Promise<void> {
    const m = this.made.pop();
    if (!m) return;
    const from = this.config;
    this.config = m.from.slice();
    this.chosen = m.part;
    this.view.choose(m.part);
    await this.view.glide(from, this.config, 350);
    this.say(`Taken back: ${this.name(m.part)}.`);
    this.show();
    void this.measure();
    void this.judge();
  }

  /** again stands everything at the start. */
  async again(): Promise<void> {
    if (!this.stage) return;
    const from = this.config;
    this.config = this.stage.start.slice();
    this.made = [];
    await this.view.glide(from, this.config, 400);
    this.say("At the start.");
    this.show();
    void this.measure();
    void this.judge();
  }

  /** next makes the next move of a shortest way from here. */
  async next(): Promise<void> {
    if (!this.stage) return;
    this.say("Looking for the next move…");
    try {
      const o = await ask<Onward>("POST", "/api/play/onward", this.spot(0));
      const runs = o.runs[0];
      const info = o.moves[0];
      if (!runs || !info) {
        this.say(o.words);
        return;
      }
      const part = this.stage.parts.findIndex((p) => p.name === info.part);
      const before = this.config.slice();
      this.chosen = part;
      this.view.choose(part);
      for (const r of runs) {
        const from = this.config;
        this.config = from.slice();
        this.config[r.travel] = r.to;
        await this.view.glide(from, this.config, 900);
      }
      this.config = this.folded(this.config);
      this.say(`${info.part}: ${info.words.join(", then ")}. ${o.runs.length - 1 > 0 ? `${o.runs.length - 1} more to the goal.` : `The goal is met: ${this.stage.goal}.`}`);
      this.note(part, before);
    } catch (e) {
      this.excuse(e);
    }
  }

  /** folded brings full turns back into one turn. */
  private folded(q: number[]): number[] {
    return q.map((v, i) => (this.stage?.travels[i]?.full_turn ? ((v % 360) + 360) % 360 : v));
  }

  /** at shows the meant way at a place between 0 and its strokes. */
  private at(x: number): void {
    const i = Math.min(this.legs.length - 1, Math.floor(x));
    const leg = this.legs[i];
    if (!leg) return;
    const u = x - i;
    this.config = leg.from.map((v, k) => v + ((leg.to[k] ?? v) - v) * u);
    this.view.pose(this.config);
    fill(this.under, `Move ${leg.move + 1}: ${leg.words}`);
  }

  /** whole plays the meant way from where the scrubber stands. */
  async whole(): Promise<void> {
    const s = this.scrub;
    if (!s || this.legs.length === 0) return;
    if (this.playing) {
      this.playing = false;
      return;
    }
    this.playing = true;
    this.made = [];
    this.show();
    let x = Number(s.value) >= this.legs.length ? 0 : Number(s.value);
    let last = performance.now();
    while (this.playing && x < this.legs.length) {
      const now = await new Promise<number>((r) => requestAnimationFrame(r));
      x = Math.min(this.legs.length, x + (now - last) / 1100);
      last = now;
      this.at(x);
      if (this.scrub) this.scrub.value = String(x);
    }
    this.playing = false;
    this.made = [];
    if (x >= this.legs.length) this.say(`That is the goal: ${this.stage?.goal}.`);
    this.config = this.folded(this.config);
    this.show(x);
    void this.measure();
  }

  /** say tells what happened, in the line under the box. */
  say(words: string, soft = false): void {
    fill(this.under, words);
    this.under.dataset["soft"] = soft ? "1" : "";
  }

  /** keys of the stage. */
  private key(e: KeyboardEvent): void {
    const s = this.stage;
    if (!s || e.ctrlKey || e.metaKey || e.altKey) return;
    const movable = s.parts.map((_, i) => i).filter((i) => (s.parts[i]?.travels.length ?? 0) > 0);
    const at = movable.indexOf(this.chosen);
    const step = (by: number) => this.choose(movable[(at + by + movable.length) % movable.length] ?? -1);
    const done = () => e.preventDefault();
    const travels = s.parts[this.chosen]?.travels ?? [];
    const push = (i: number, sign: number) => {
      const t = travels[Math.min(i, travels.length - 1)];
      if (t !== undefined) void this.nudge(t, sign, e.shiftKey);
    };
    switch (e.key) {
      case "n": step(1); return done();
      case "p": step(-1); return done();
      case "ArrowRight": push(0, 1); return done();
      case "ArrowLeft": push(0, -1); return done();
      case "ArrowUp": push(1, 1); return done();
      case "ArrowDown": push(1, -1); return done();
      case "Backspace": void this.back(); return done();
      case "Home": void this.again(); return done();
      default:
    }
  }

  private busy = false;

  /** nudge moves a travel by a step, or as far as it goes. */
  async nudge(travel: number, sign: number, far: boolean): Promise<void> {
    const k = this.stage?.travels[travel];
    if (!k || this.busy) return;
    this.busy = true;
    const before = this.config.slice();
    const now = this.config[travel] ?? 0;
    const by = far ? (k.full_turn ? 180 : 1e4) : k.unit === "mm" ? 1 : 5;
    const room = this.rooms.find((r) => r.travel === travel);
    const p = await this.pull([{ travel, value: now + sign * by }], true);
    this.busy = false;
    if (!p) return;
    if (before.every((v, i) => v === this.config[i])) this.say(`${this.name(this.chosen)} goes no further that way: ${(sign > 0 ? room?.hi.words : room?.lo.words) ?? p.words}`);
    this.note(k.part, before);
  }

  private hovered = -1;
  private nearing: AbortController | null = null;

  /** hover names the part under the pointer, with its travels and clearance. */
  hover(e: PointerEvent): void {
    if (e.pointerType === "touch" || e.buttons !== 0 || this.playing) return;
    const hit = this.view.under(e.clientX, e.clientY);
    const part = hit?.part ?? -1;
    this.view.canvas.style.cursor = part >= 0 && (this.stage?.parts[part]?.travels.length ?? 0) > 0 ? "grab" : "default";
    if (part === this.hovered) return;
    this.hovered = part;
    this.nearing?.abort();
    if (part < 0) {
      fill(this.under, "");
      return;
    }
    const words = this.stands(part);
    fill(this.under, words);
    this.nearing = new AbortController();
    ask<Near>("POST", "/api/play/near", this.spot(part), this.nearing.signal)
      .then((n) => {
        if (this.hovered === part) fill(this.under, `${words}; ${n.words}`);
      })
      .catch(() => undefined);
  }

  /** stands tells where a part stands. */
  stands(part: number): string {
    const s = this.stage;
    const p = s?.parts[part];
    if (!s || !p) return "";
    if (p.frame) return `${p.name}, the frame`;
    const at = p.travels.map((t) => `${s.travels[t]?.name} ${round(this.config[t] ?? 0)} ${s.travels[t]?.unit}`);
    return `${p.name}: ${at.length > 0 ? at.join(", ") : "does not travel by itself"}`;
  }

  /** show writes the panel under the box. */
  private show(at = 0): void {
    const s = this.stage;
    if (!s) return;
    const n = this.made.length;
    this.scrub = el("input", {
      type: "range", id: "scrub", min: 0, max: Math.max(1, this.legs.length), step: 0.01, value: at, "aria-describedby": "under",
      disabled: this.legs.length === 0, input: (e: Event) => { this.playing = false; this.made = []; this.at(Number((e.target as HTMLInputElement).value)); },
      change: () => { this.config = this.folded(this.config); void this.measure(); },
    });
    const parts = el("fieldset", { class: "parts" }, el("legend", {}, "Part in hand"));
    s.parts.forEach((p, i) => {
      if (p.travels.length === 0) return;
      const radio = el("input", { type: "radio", name: "part", id: `part-${i}`, value: i, checked: i === this.chosen, change: () => this.choose(i) });
      parts.append(el("span", { class: "pick" }, radio, el("label", { for: `part-${i}` }, swatch(p.color), p.name)));
    });
    const focus = document.activeElement?.id;
    fill(
      this.panel,
      parts,
      el("div", { id: "travels" }),
      el("p", { class: "count" }, el("b", { id: "count" }, `${n} ${n === 1 ? "move" : "moves"} played. `), el("span", { id: "left" })),
      el("div", { class: "row" },
        button("take-back", "Take back", () => void this.back(), n === 0),
        button("again", "To the start", () => void this.again()),
        button("next", "Show me the next move", () => void this.next())),
      el("div", { class: "row" },
        button("whole", "Play the whole way", () => void this.whole(), this.legs.length === 0),
        el("label", { for: "scrub", class: "grow" }, "Along the way ", this.scrub)),
      el("details", {}, el("summary", {}, "Keys"),
        el("p", {}, "With the picture in focus: left and right move the part along its first travel, up and down along its second; with Shift as far as it goes. N and P choose the next and previous part, Backspace takes a move back, Home goes to the start.")),
    );
    this.travels();
    if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
  }

  /** travels shows, for the part in hand, each travel with the room it has. */
  private travels(): void {
    const s = this.stage;
    const holder = document.getElementById("travels");
    if (!s || !holder) return;
    const focus = document.activeElement?.id;
    const rows = (s.parts[this.chosen]?.travels ?? []).map((t) => {
      const k = s.travels[t];
      const r = this.rooms.find((x) => x.travel === t);
      const now = this.config[t] ?? 0;
      if (!k) return null;
      const lo = r ? r.lo.at : now;
      const hi = r ? r.hi.at : now;
      const id = `travel-${t}`;
      const out = el("output", { for: id }, `${round(now)} ${k.unit}`);
      let before: number[] | null = null;
      const slider = el("input", {
        type: "range", id, min: lo, max: hi, step: "any", value: now, disabled: !r, "aria-describedby": `${id}-room`,
        keydown: (e: KeyboardEvent) => {
          const sign = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[e.key];
          if (sign) { e.preventDefault(); void this.nudge(t, sign, e.shiftKey); }
          if (e.key === "Home" || e.key === "End") { e.preventDefault(); void this.nudge(t, e.key === "End" ? 1 : -1, true); }
        },
        input: (e: Event) => {
          before ??= this.config.slice();
          this.config[t] = Number((e.target as HTMLInputElement).value);
          fill(out, `${round(this.config[t] ?? 0)} ${k.unit}`);
          this.view.pose(this.config);
        },
        change: () => {
          const b = before ?? this.config.slice();
          const value = this.config[t] ?? 0;
          before = null;
          this.config = b.slice();
          void this.pull([{ travel: t, value }], true).then(() => this.note(k.part, b));
        },
      });
      const go = (sign: number, words: string) =>
        el("button", { type: "button", id: `${id}-${sign > 0 ? "up" : "down"}`, click: () => void this.nudge(t, sign, true) }, words);
      return el("div", { class: "travel" },
        el("label", { for: id }, `${this.name(this.chosen)} ${k.name} `), out, slider,
        el("span", { class: "row" }, go(-1, k.backward), go(1, k.forward)),
        el("span", { class: "soft", id: `${id}-room` }, r ? (r.turns ? "goes all the way round" : `goes from ${round(lo)} (${r.lo.words}) to ${round(hi)} ${k.unit} (${r.hi.words})`) : "measuring how far it goes…"));
    });
    fill(holder, ...rows);
    holder.dataset["ready"] = this.rooms.length > 0 ? "1" : "";
    if (focus?.startsWith("travel-")) document.getElementById(focus)?.focus({ preventScroll: true });
  }
}

export function button(id: string, words: string, act: () => void, off = false): HTMLButtonElement {
  return el("button", { type: "button", id, disabled: off, click: act }, words);
}

export function swatch(color: string): HTMLElement {
  const s = el("span", { class: "dot", "aria-hidden": "true" });
  s.style.background = color;
  return s;
}
