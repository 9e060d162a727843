// The panel under the box: the part in hand with its room, how the box is held, the
// moves, the way.
import { el, fill, find, round, unpressed } from "./dom";
import { Grip } from "./grip";
import type { Play } from "./play";
import { mover } from "./point";
import type { Room, Stage, Travel } from "./wire";

/** panel writes all of it anew; what has the focus keeps it. */
export function panel(play: Play): void {
  unpressed("panel", find("hand"), () => write(play));
}

function write(play: Play): void {
  const s = play.stage;
  if (!s) return;
  const n = play.made.length;
  const focus = document.activeElement?.id;
  const open = (document.getElementById("keys-help") as HTMLDetailsElement | null)?.open ?? false;
  fill(
    find("hand"),
    parts(play, s),
    el("div", { id: "travels" }),
    s.directed ? holding(play, s) : null,
    s.tools.length > 0 ? tools(play, s) : null,
    el("p", { class: "count" }, el("b", { id: "count" }, `${n} ${n === 1 ? "move" : "moves"} played. `), el("span", { id: "left" }, play.judge.said)),
    el("div", { class: "row" },
      button("take-back", "Take back", () => void play.back(), n === 0),
      button("again", "To the start", () => void play.again()),
      button("next", "Show me the next move", () => void play.next())),
    el("div", { class: "row" },
      button("whole", "Play the whole way", () => void play.showing.whole(), play.showing.track?.empty ?? true),
      el("label", { for: "scrub", class: "grow" }, "Along the way ", scrub(play))),
    el("details", { id: "keys-help", open }, el("summary", {}, "Keys"), el("p", {}, help(s))),
  );
  fill(find("held"), s.directed ? held(play, s) : "");
  travels(play);
  if (focus && focus !== document.activeElement?.id) document.getElementById(focus)?.focus({ preventScroll: true });
}

function help(s: Stage): string {
  const turn = s.directed ? " The numbers turn the box." : "";
  return `With the picture in focus: left and right move the part along its first travel, up and down along its second; with Shift as far as it goes. N and P choose the next and previous part, Backspace takes a move back, Home goes to the start.${turn}`;
}

function parts(play: Play, s: Stage): HTMLElement {
  const out = el("fieldset", { class: "parts" }, el("legend", {}, "Part in hand"));
  for (const i of play.movable()) {
    const radio = el("input", { type: "radio", name: "part", id: `part-${i}`, value: i, checked: i === play.chosen, change: () => play.choose(i) });
    out.append(el("span", { class: "pick" }, radio, el("label", { for: `part-${i}` }, swatch(s.parts[i]?.color ?? ""), play.name(i))));
  }
  return out;
}

const held = (play: Play, s: Stage): string => `Held so that ${s.ups[play.now?.up ?? 0]?.words ?? ""}`;

/** holding are the ways to turn the box from here. */
function holding(play: Play, s: Stage): HTMLElement {
  const near = s.ups[play.now?.up ?? 0]?.near ?? [];
  return el("fieldset", { class: "ups" }, el("legend", { id: "ups-title" }, "Turn the box so that"),
    el("div", { class: "row" }, ...s.ups.map((u, i) => near.includes(i)
      ? el("button", { type: "button", id: `up-${i}`, click: () => void play.turn(i), "aria-labelledby": `ups-title up-${i}` },
        el("span", { class: "key-n" }, String(i + 1)), ` ${u.words}`)
      : null)));
}

/** tools are the places where a tool can go. */
function tools(play: Play, s: Stage): HTMLElement {
  return el("fieldset", { class: "tools" }, el("legend", {}, "Tools"),
    ...s.tools.map((t, i) => el("div", { class: "row" }, `${t.name} is in as ${play.name(t.seats[play.now?.tools[i] ?? 0] ?? -1)}. `,
      ...t.seats.map((part, seat) => seat === play.now?.tools[i] ? null
        : button(`tool-${i}-${seat}`, `Put it in as ${play.name(part)}`, () => void play.take(i, seat))))));
}

function scrub(play: Play): HTMLInputElement {
  const t = play.showing.track;
  const go = (x: number) => play.showing.along(x, true);
  return el("input", {
    type: "range", id: "scrub", min: 0, max: t && !t.empty ? t.long : 1, step: "any", value: play.showing.place, "aria-describedby": "under",
    disabled: t?.empty ?? true,
    input: (e: Event) => { play.showing.playing = false; play.showing.along(Number((e.target as HTMLInputElement).value), false); },
    change: (e: Event) => go(Number((e.target as HTMLInputElement).value)),
    keydown: (e: KeyboardEvent) => {
      const sign = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[e.key];
      const to = !t ? null : sign ? t.beside(play.showing.place, sign) : e.key === "Home" ? 0 : e.key === "End" ? t.long : null;
      if (to === null) return;
      e.preventDefault();
      play.showing.playing = false;
      go(to);
    },
  });
}

/** travels shows, for the part in hand, each travel with the room it has. */
export function travels(play: Play): void {
  unpressed("travels", find("hand"), () => rooms(play));
}

function rooms(play: Play): void {
  const s = play.stage;
  const holder = document.getElementById("travels");
  if (!s || !holder) return;
  const focus = document.activeElement?.id;
  const rows = (s.parts[play.chosen]?.travels ?? []).map((t) => {
    const k = s.travels[t];
    if (!k) return null;
    return k.moved === "hand" ? row(play, t, k, play.rooms.find((x) => x.travel === t)) : still(play, t, k);
  });
  fill(holder, ...rows);
  holder.dataset["ready"] = play.rooms.length > 0 && play.measured === play.now ? "1" : "";
  if (focus?.startsWith("travel-")) document.getElementById(focus)?.focus({ preventScroll: true });
}

/** still is a travel that no hand moves. */
function still(play: Play, t: number, k: Travel): HTMLElement {
  return el("div", { class: "travel" }, el("span", {}, `${play.name(play.chosen)} ${k.name} `), el("output", {}, `${round(play.now?.config[t] ?? 0)} ${k.unit}${mover(k)}`));
}

function row(play: Play, t: number, k: Travel, r: Room | undefined): HTMLElement {
  const id = `travel-${t}`;
  const now = play.now?.config[t] ?? 0;
  const lo = r ? r.lo.at : now;
  const hi = r ? r.hi.at : now;
  const out = el("output", { for: id }, `${round(now)} ${k.unit}`);
  const room = r ? (r.turns ? "goes all the way round" : `goes from ${round(lo)} (${r.lo.words}) to ${round(hi)} ${k.unit} (${r.hi.words})`) : "measuring how far it goes…";
  const go = (sign: number, words: string) =>
    el("button", { type: "button", id: `${id}-${sign > 0 ? "up" : "down"}`, click: () => void play.nudge(t, sign, true) }, words);
  return el("div", { class: "travel" },
    el("label", { for: id }, `${play.name(play.chosen)} ${k.name} `), out, slider(play, t, k, { id, lo, hi, now, off: !r, out }),
    el("span", { class: "row" }, go(-1, k.backward), go(1, k.forward)),
    el("span", { class: "soft", id: `${id}-room` }, `${room}${mover(k)}`));
}

interface Knob { id: string; lo: number; hi: number; now: number; off: boolean; out: HTMLElement }

/** slider draws the part along like a hand that holds it, and lets go at the end. */
function slider(play: Play, t: number, k: Travel, o: Knob): HTMLInputElement {
  const grip = new Grip(play, play.chosen);
  return el("input", {
    type: "range", id: o.id, min: o.lo, max: o.hi, step: "any", value: o.now, disabled: o.off, "aria-describedby": `${o.id}-room`,
    keydown: (e: KeyboardEvent) => {
      const sign = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[e.key];
      if (sign) { e.preventDefault(); void play.nudge(t, sign, e.shiftKey); }
      if (e.key === "Home" || e.key === "End") { e.preventDefault(); void play.nudge(t, e.key === "End" ? 1 : -1, true); }
    },
    input: (e: Event) => {
      const value = Number((e.target as HTMLInputElement).value);
      fill(o.out, `${round(value)} ${k.unit}`);
      grip.to([{ travel: t, value }]);
    },
    change: () => void grip.drop(),
  });
}

export function button(id: string, words: string, act: () => void, off = false): HTMLButtonElement {
  return el("button", { type: "button", id, disabled: off, click: act }, words);
}

export function swatch(color: string): HTMLElement {
  const s = el("span", { class: "dot", "aria-hidden": "true" });
  s.style.background = color;
  return s;
}
