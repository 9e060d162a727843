// The proof as a sheet to read from the top.
import { ask } from "./ask";
import { drawing, el, fill, find, round, table } from "./dom";
import { figure, legend, type ShowPlace } from "./figure";
import { writeFindings } from "./findings";
import type { Figure, Frame, MoveInfo, Pose, Proof, SheetPaper, Stage, Views } from "./wire";

/** Show is what the sheet asks of the stage beside it. */
export interface Show {
  /** place brings the box into a configuration. */
  place: ShowPlace;
  /** pose brings it into a situation, held as it is there. */
  pose(p: Pose): void;
  /** mark picks out parts by name and, if there are such, a place of the box, mm, and a configuration. */
  mark(parts: string[], at: [number, number, number] | null, config?: number[] | null): void;
  /** param goes to the slider of a param. */
  param(name: string): void;
}

const mark: Record<string, string> = { works: "✓", shortcut: "⤳", stuck: "■", open: "○", clash: "✕", undecided: "?" };

export function writeProof(stage: Stage, p: Proof, show: Show): void {
  const d = p.document;
  const v = find("verdict");
  v.hidden = false;
  v.className = `verdict told v-${d.verdict}`;
  fill(v,
    el("h2", { id: "verdict-word" }, el("span", { "aria-hidden": "true" }, `${mark[d.verdict] ?? ""} `), d.verdict),
    el("p", { class: "sentence" }, d.sentence),
    el("p", { class: "soft" }, d.certified ? "Checked by a second method." : "Not certified by the second method.", ...d.doubts.map((x) => ` ${x}`)));
  const first = d.solution[0];
  if (first) v.append(el("p", { id: "first-move" }, el("b", {}, "First move: "), `${first.part}, ${first.words.join(", then ")}.`));
  contents();
  writeWay(stage, p, show);
  writeFit(p);
  writeSteps(p, show.place);
  writeFindings(stage, p, show);
}

function contents(): void {
  const n = find("contents");
  n.hidden = false;
  const links = [["fit", "Fit window"], ["way", "The way"], ["steps", "Steps"], ["findings", "Findings"], ["unrolled", "Unrolled"], ["play-chart", "Growth and play"],
    ["situations", "Situations"], ["attitudes", "Attitudes"], ["handling", "Handling"], ["lids", "Lids"], ["magnets", "Magnets"], ["walls", "Walls"], ["change", "Change"], ["workshop", "Workshop"], ["files", "Files"]];
  fill(n, el("ul", {}, ...links.filter(([id]) => !document.getElementById(id ?? "")?.hidden).map(([id, words]) => el("li", {}, el("a", { href: `#${id}` }, words)))));
}

export function section(id: string, title: string, ...more: (Node | string | null)[]): HTMLElement {
  const s = find(id);
  s.hidden = false;
  s.setAttribute("aria-labelledby", `${id}-title`);
  fill(s, el("h2", { id: `${id}-title` }, title), ...more);
  return s;
}

function writeWay(stage: Stage, p: Proof, show: Show): void {
  const d = p.document;
  if (d.solution.length === 0) {
    section("way", "The way", el("p", {}, "No way was found."));
    return;
  }
  const least = d.moves_least === d.moves ? "no way has fewer" : `no way has fewer than ${d.moves_least}`;
  const frames = el("ol", { class: "board", id: "board" }, ...d.solution.map((m, i) => frame(m, i, p.way[i]?.frames.at(-1), held(stage, p, i), show)));
  section("way", "The way", el("p", {}, `${d.moves} moves in ${d.strokes} strokes; ${least}. Goal: ${d.goal}.${turned(stage, p) ? " Directions are those of the box as drawn, however it is held." : ""}`), frames);
  pictured(p.id);
}

const up = (p: Proof, i: number): number => p.way[i]?.frames.at(-1)?.up ?? 0;

/** turned tells whether the box is held otherwise than drawn somewhere on the way. */
const turned = (stage: Stage, p: Proof): boolean => stage.directed && p.way.some((_, i) => (stage.ups[up(p, i)]?.up[2] ?? 1) < 1);

/** held says how the box is held after a move, where the move's own words do not. */
function held(stage: Stage, p: Proof, i: number): string {
  const now = up(p, i);
  if (!turned(stage, p) || now !== (i > 0 ? up(p, i - 1) : 0)) return "";
  return `Held so that ${stage.ups[now]?.words}.`;
}

/** lettered names the strokes by the letters that their arrows have, where there are more than one. */
const lettered = (words: string[]): string => (words.length > 1 ? words.map((w, i) => `${String.fromCharCode(97 + (i % 26))}. ${w}`) : words).join(", then ");

function frame(m: MoveInfo, i: number, end: Pose | undefined, as: string, show: Show): HTMLElement {
  const room = m.clearance_mm === null ? "" : `at least ${round(m.clearance_mm)} mm clear${m.against ? ` of ${m.against}` : ""}`;
  return el("li", { id: `move-${i + 1}` },
    el("div", { class: "frame-holder" }),
    el("p", {}, el("span", { class: "move-n" }, String(i + 1)), " ", el("b", {}, m.part), ` ${lettered(m.words)}`),
    as ? el("p", { class: "soft held" }, as) : null,
    room ? el("p", { class: "soft" }, room) : null,
    end ? el("button", { type: "button", click: () => show.pose(end), "aria-label": `Show me the box after move ${i + 1}` }, "Show me") : null);
}

let board: { id: string; frames: Frame[] } = { id: "", frames: [] }; // the storyboard that was drawn last

/** pictured puts the drawings of a proof into its storyboard, if they are there. */
function pictured(id: string): void {
  if (board.id !== id) return;
  const holders = document.querySelectorAll("#board .frame-holder");
  board.frames.forEach((f, i) => {
    const s = f.svg ? drawing(f.svg) : null;
    const h = holders[i];
    if (s && h) fill(h, s);
  });
}

/** writePictures adds the drawings when they are there; true when these are all. */
export async function writePictures(id: string, show: Show): Promise<boolean> {
  const v = await ask<Views>("GET", `/api/proofs/${id}/pictures`);
  if (v.frames.length > 0 || !v.partial) board = { id, frames: v.frames };
  pictured(id);
  if (v.partial) {
    if (v.scale) fill(find("fit-figure"), ...figure(v.scale, show.place));
    return false;
  }
  if (v.scale) fill(find("fit-figure"), ...figure(v.scale, show.place));
  unrolled(v.sheets, v.frames.length > 0);
  const charts = new Map(v.charts.flatMap((f) => (f ? [[f.id, f] as const] : [])));
  chart("play-chart", charts.get("play"), "Growth against play", "Growth against play is not worked out here: it needs a proof that was finished. The fit window above says at which growth the box works, binds and leaks.", show);
  chart("situations", charts.get("situations"), "Situations", "There is no map of situations: the goal was not reached.", show);
  chart("attitudes", charts.get("attitudes"), "Attitudes", "", show);
  chart("handling", charts.get("handling"), "Handling", "", show);
  chart("lids", charts.get("lids"), "Lids held by magnets", "", show);
  chart("magnets", charts.get("magnets"), "Magnets along the travels", "", show);
  chart("walls", charts.get("walls"), "Walls", "", show);
  contents();
  return true;
}

function chart(id: string, f: Figure | undefined, title: string, none: string, show: Show): void {
  if (f) section(id, f.title, ...figure(f, show.place, show.mark.bind(show)));
  else if (none) section(id, title, el("p", { class: "soft" }, none));
  else find(id).hidden = true;
}

function unrolled(sheets: SheetPaper[], drawn: boolean): void {
  if (sheets.length === 0) {
    if (drawn) section("unrolled", "Unrolled", el("p", { class: "soft" }, "No two parts of this box slide and turn about one line, so there is no groove to unroll."));
    return;
  }
  section("unrolled", "Unrolled", el("p", {}, "How one part can stand to another that shares its axis: along the axis upwards, round it across. The line is the way taken, its corners numbered; letters mark the ends of blind arms; a dashed line is a way that leaves out a step."),
    legend([["reach", "within reach"], ["free", "free, out of reach"], ["short", "free only when printed loose"], ["stuck", "blocked"], ["unknown", "not known"]].map(([key, words]) => ({ key: key ?? "", words: words ?? "" }))),
    ...sheets.map((s) => {
      const d = drawing(s.svg);
      const f = el("figure", {}, el("figcaption", {}, el("b", {}, s.title), `. ${s.words}`));
      if (d) f.prepend(el("div", { class: "wide", role: "group", "aria-label": `Drawing: ${s.title}` }, d));
      const more: HTMLElement[] = [];
      if (s.corners.length > 0) more.push(table(`Corners of the way: ${s.title}`, ["Corner", s.along, s.round], s.corners.map((c) => [String(c.n), c.along, c.round])));
      if (s.arms.length > 0) more.push(table(`Blind arms: ${s.title}`, ["Arm", "leaves the way at", "ends at"], s.arms.map((a) => [a.letter, a.leaves, a.ends])));
      if (s.shortcuts.length > 0) more.push(table(`Ways that leave out a step, by their corners (along, mm, at round, deg): ${s.title}`, ["Way", "leaves out", "at growth", "corners"], s.shortcuts.map((k) => [k.name, k.step, k.growth, k.corners])));
      if (more.length > 0) f.append(el("details", {}, el("summary", {}, `In numbers: ${s.title}`), ...more));
      return f;
    }));
}

function writeFit(p: Proof): void {
  const t = p.document.fit.tightest;
  const { lo_mm: lo, hi_mm: hi } = p.document.growth_asked;
  const old = document.getElementById("fit-figure");
  section("fit", "Fit window",
    el("p", {}, "How far every printed surface may stand proud of the drawing, mm a surface; negative is undersize. Below the leak a step can be left out; above the bind no way is left."),
    p.asked ? el("p", { id: "fit-asked" }, p.document.exit_status === 0 ? `It works from ${round(lo, 3)} to ${hi > 0 ? "+" : ""}${round(hi, 3)} mm, as asked. How far beyond is being worked out.`
      : `Asked ${round(lo, 3)} to ${hi > 0 ? "+" : ""}${round(hi, 3)} mm. Where it binds and leaks is being worked out.`) : null,
    old ?? el("div", { id: "fit-figure", class: "pictured" }),
    t && !p.asked ? el("p", {}, `Least room on the way, as drawn: at least ${round(t.clearance_mm, 2)} mm between ${t.parts.join(" and ")}.`) : null);
}

function writeSteps(p: Proof, show: ShowPlace): void {
  section("steps", "Steps", ...(p.steps ? figure(p.steps, show) : []));
}
