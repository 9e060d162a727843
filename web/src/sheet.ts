// The proof as a sheet to read from the top.
import { ask } from "./ask";
import { drawing, el, fill, find, round, svg, table } from "./dom";
import type { Band, Chart, FindingInfo, MoveInfo, Proof, Stage, StepInfo, Views, WireDocument } from "./wire";

export type ShowPlace = (config: number[]) => void;

const mark: Record<string, string> = { works: "✓", shortcut: "⤳", stuck: "■", open: "○", clash: "✕", undecided: "?" };

export function writeProof(stage: Stage, p: Proof, show: ShowPlace): void {
  const d = p.document;
  const v = find("verdict");
  v.hidden = false;
  v.className = `verdict v-${d.verdict}`;
  fill(v,
    el("h2", { id: "verdict-word" }, el("span", { "aria-hidden": "true" }, `${mark[d.verdict] ?? ""} `), d.verdict),
    el("p", { class: "sentence" }, d.sentence),
    el("p", { class: "soft" }, d.certified ? "Checked by a second method." : "Not certified by the second method.", ...d.doubts.map((x) => ` ${x}`)));
  const first = d.solution[0];
  if (first) v.append(el("p", { id: "first-move" }, el("b", {}, "First move: "), `${first.part}, ${first.words.join(", then ")}.`));
  contents();
  writeWay(d, p, show);
  writeFit(d, p.chart);
  writeSteps(d);
  writeFindings(stage, d, show);
}

function contents(): void {
  const n = find("contents");
  n.hidden = false;
  const links = [["way", "The way"], ["fit", "Fit window"], ["steps", "Steps"], ["findings", "Findings"], ["unrolled", "Unrolled"], ["change", "Change"], ["workshop", "Workshop"], ["files", "Files"]];
  fill(n, el("ul", {}, ...links.map(([id, words]) => el("li", {}, el("a", { href: `#${id}` }, words)))));
}

function section(id: string, title: string, ...more: (Node | string | null)[]): HTMLElement {
  const s = find(id);
  s.hidden = false;
  s.setAttribute("aria-labelledby", `${id}-title`);
  fill(s, el("h2", { id: `${id}-title` }, title), ...more);
  return s;
}

function writeWay(d: WireDocument, p: Proof, show: ShowPlace): void {
  if (d.solution.length === 0) {
    section("way", "The way", el("p", {}, "No way was found."));
    return;
  }
  const least = d.moves_least === d.moves ? "no way has fewer" : `no way has fewer than ${d.moves_least}`;
  const board = el("ol", { class: "board", id: "board" }, ...d.solution.map((m, i) => frame(m, i, p.ends[i], show)));
  section("way", "The way", el("p", {}, `${d.moves} moves in ${d.strokes} strokes; ${least}. Goal: ${d.goal}.`), board);
}

function frame(m: MoveInfo, i: number, end: number[] | undefined, show: ShowPlace): HTMLElement {
  const room = m.clearance_mm === null ? "" : `at least ${round(m.clearance_mm)} mm clear${m.against ? ` of ${m.against}` : ""}`;
  return el("li", { id: `move-${i + 1}` },
    el("div", { class: "frame-holder" }),
    el("p", {}, el("span", { class: "move-n" }, String(i + 1)), " ", el("b", {}, m.part), ` ${m.words.join(", then ")}`),
    el("p", { class: "soft" }, room),
    end ? el("button", { type: "button", click: () => show(end), "aria-label": `Show me the box after move ${i + 1}` }, "Show me") : null);
}

/** writePictures adds the drawings when they are there. */
export async function writePictures(id: string): Promise<void> {
  const v = await ask<Views>("GET", `/api/proofs/${id}/pictures`);
  const holders = document.querySelectorAll("#board .frame-holder");
  v.frames.forEach((f, i) => {
    const s = f.svg ? drawing(f.svg) : null;
    const h = holders[i];
    if (s && h) fill(h, s);
  });
  if (v.sheets.length === 0) {
    section("unrolled", "Unrolled", el("p", { class: "soft" }, "No two parts of this box slide and turn about one line, so there is no groove to unroll."));
    return;
  }
  section("unrolled", "Unrolled", legend([["reach", "within reach"], ["free", "free, out of reach"], ["stuck", "blocked"], ["unknown", "not known"]]),
    ...v.sheets.map((s) => {
      const d = drawing(s.svg);
      const f = el("figure", {}, el("figcaption", {}, el("b", {}, s.title), `. ${s.words}`));
      if (d) f.prepend(el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": `Drawing: ${s.title}` }, d));
      if (s.corners.length > 0) f.append(table("Corners of the way", ["Corner", s.along, s.round], s.corners.map((c) => [String(c.n), c.along, c.round])));
      if (s.arms.length > 0) f.append(table("Blind arms", ["Arm", "leaves the way at", "ends at"], s.arms.map((a) => [a.letter, a.leaves, a.ends])));
      return f;
    }));
}

const kinds: Record<string, string> = { "works as meant": "works", "has a shortcut": "short", "is stuck": "stuck", "not known": "unknown" };

function legend(keys: [string, string][]): HTMLElement {
  return el("p", { class: "legend" }, ...keys.map(([k, words]) => el("span", { class: "pair" }, el("span", { class: `key k-${k}`, "aria-hidden": "true" }), ` ${words} `)));
}

function writeFit(d: WireDocument, c: Chart): void {
  const f = d.fit;
  const mm = (v: number | null, none: string) => (v === null ? none : `${v > 0 ? "+" : ""}${round(v, 3)} mm`);
  const rows = [
    ["asked", `${mm(d.growth_asked.lo_mm, "")} to ${mm(d.growth_asked.hi_mm, "")}`, "the growths on which the verdict rests"],
    ["leaks", mm(f.leak_growth_mm, "none found"), "at this growth and below a step can be left out"],
    ["leaks, play used", mm(f.leak_growth_with_play_mm, "none found"), "the same with the parts pushed about within their guides"],
    ["binds", mm(f.bind_growth_mm, "not within the growths searched"), "above this growth no way is left"],
  ];
  const t = f.tightest;
  section("fit", "Fit window",
    el("p", {}, "How far every printed surface may stand proud of the drawing, mm a surface; negative is undersize."),
    el("figure", {}, el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": "Chart of growth" }, chart(d, c)), el("figcaption", {}, c.words)),
    legend([["works", "works as meant"], ["short", "has a shortcut"], ["stuck", "is stuck"], ["unknown", "not known"]]),
    table("Limits", ["", "growth", "meaning"], rows),
    t ? el("p", {}, `Least room on the way, as drawn: at least ${round(t.clearance_mm, 2)} mm between ${t.parts.join(" and ")}.`) : null);
}

/** chart draws where the box works, by growth, held straight and with play used. */
function chart(d: WireDocument, c: Chart): SVGElement {
  const w = 720, left = 96, right = 14;
  const x = (g: number) => left + ((g - c.lo_mm) / (c.hi_mm - c.lo_mm)) * (w - left - right);
  const s = svg("svg", { viewBox: `0 0 ${w} 150`, role: "img", "aria-label": "Growth against play; the words and the table below say the same", class: "scale" });
  const row = (bands: Band[], y: number, words: string) => {
    for (const b of bands) s.append(svg("rect", { class: `z-${kinds[b.is] ?? "unknown"}`, x: x(b.lo_mm), y, width: Math.max(0, x(b.hi_mm) - x(b.lo_mm)), height: 26 }));
    s.append(svg("rect", { class: "frame", x: left, y, width: w - left - right, height: 26 }));
    s.append(svg("text", { x: left - 8, y: y + 17, "text-anchor": "end" }, words));
  };
  row(c.straight, 34, "held straight");
  row(c.pushed, 68, "play used");
  const g = d.growth_asked;
  s.append(svg("polyline", { class: "asked", points: `${x(g.lo_mm)},101 ${x(g.lo_mm)},107 ${x(g.hi_mm)},107 ${x(g.hi_mm)},101` }));
  s.append(svg("text", { x: (x(g.lo_mm) + x(g.hi_mm)) / 2, y: 122, "text-anchor": "middle" }, "asked"));
  s.append(svg("line", { class: "drawn", x1: x(0), x2: x(0), y1: 26, y2: 104 }));
  s.append(svg("text", { x: x(0), y: 20, "text-anchor": "middle" }, "drawn"));
  for (const [v, words] of [[d.fit.leak_growth_mm, "leak"], [d.fit.bind_growth_mm, "bind"]] as const) {
    if (v === null || v < c.lo_mm || v > c.hi_mm) continue;
    s.append(svg("line", { class: "limit", x1: x(v), x2: x(v), y1: 24, y2: 98 }));
    s.append(svg("text", { class: "limit-n", x: Math.min(w - 44, Math.max(44, x(v))), y: 10, "text-anchor": "middle" }, `${words} ${v > 0 ? "+" : ""}${round(v, 3)}`));
  }
  for (let k = Math.ceil(c.lo_mm * 20); k <= c.hi_mm * 20; k++) {
    s.append(svg("line", { class: "tick", x1: x(k / 20), x2: x(k / 20), y1: 128, y2: 133 }));
    if (k % 2 === 0) s.append(svg("text", { class: "rule-n", x: x(k / 20), y: 146, "text-anchor": "middle" }, round(k / 20)));
  }
  return s;
}

function writeSteps(d: WireDocument): void {
  const answer = (s: StepInfo) => (s.unavoidable === null ? "not known" : s.unavoidable ? "must be taken" : "can be left out");
  const margin = (v: number | null) => (v === null ? "nowhere searched" : `${round(v, 3)} mm and below`);
  section("steps", "Steps",
    d.steps.length === 0 ? el("p", {}, "The design names no step, so none can be missed.")
      : table("Every step, and from which growth on it can be left out", ["Step", "as drawn", "left out at growth", "with play used"],
          d.steps.map((s) => [s.name, answer(s), margin(s.bypass_growth_mm), margin(s.bypass_growth_with_play_mm)])));
}

function writeFindings(stage: Stage, d: WireDocument, show: ShowPlace): void {
  const sign: Record<string, string> = { fault: "✕ fault", warning: "△ warning", note: "· note" };
  const one = (f: FindingInfo) => {
    const at = configOf(stage, f);
    return el("div", { class: `finding f-${f.severity}` },
      el("h3", {}, `${sign[f.severity] ?? f.severity}: ${f.rule}`), el("p", {}, f.message),
      f.change ? el("p", {}, el("b", {}, "Change: "), f.change) : null,
      f.margin ? el("p", { class: "soft" }, `Margin ${round(f.margin.value, 3)} ${f.margin.unit}`) : null,
      at ? el("button", { type: "button", "aria-label": `Show me where: ${f.rule}`, click: () => show(at) }, "Show me") : null);
  };
  const advises = (f: FindingInfo) => f.about === "print" && f.severity !== "fault";
  const told = d.findings.filter((f) => !advises(f));
  const advice = d.findings.filter(advises);
  section("findings", "Findings",
    ...(told.length === 0 ? [el("p", {}, "Nothing to report.")] : told.map(one)),
    advice.length === 0 ? null : el("details", {}, el("summary", {}, `Of the print: ${advice.length} that advise`), ...advice.map(one)));
}

/** configOf is the configuration that a finding names, null if it names none. */
function configOf(stage: Stage, f: FindingInfo): number[] | null {
  if (f.where.configuration.length === 0) return null;
  const q = stage.start.slice();
  for (const s of f.where.configuration) {
    const t = stage.travels.findIndex((k) => k.name === s.travel && stage.parts[k.part]?.name === s.part);
    if (t >= 0) q[t] = s.value;
  }
  return q;
}
