// A picture of the proof with the words and tables that say the same.
import { drawing, el, table } from "./dom";
import type { Figure, FigureTable, LegendKey } from "./wire";

export type ShowPlace = (config: number[]) => void;

export type MarkPlace = (parts: string[], at: [number, number, number]) => void;

/** legend names the fillings of a picture; every key has a shape or pattern of its own beside its colour. */
export function legend(keys: LegendKey[]): HTMLElement {
  return el("p", { class: "legend" }, ...keys.map((k) => el("span", { class: "pair" }, el("span", { class: `key k-${k.key}`, "aria-hidden": "true" }), ` ${k.words} `)));
}

/** figure lays out a picture. Long tables are folded away below it. */
export function figure(f: Figure, show: ShowPlace, mark?: MarkPlace): HTMLElement[] {
  const d = f.svg ? drawing(f.svg) : null;
  const slim = f.narrow ? drawing(f.narrow) : null;
  const out: HTMLElement[] = [];
  if (d) {
    out.push(el("figure", {},
      el("div", { class: slim ? "wide broad" : "wide", role: "group", "aria-label": `Drawing: ${f.title}` }, d),
      slim ? el("div", { class: "wide slim", role: "group", "aria-label": `Drawing: ${f.title}` }, slim) : null,
      el("figcaption", {}, legend(f.legend))));
  }
  out.push(el("p", {}, f.words));
  for (const t of f.tables) out.push(shown(t, show, mark));
  return out;
}

/** folded puts a table away under its caption, which is not said twice. */
export function folded(caption: string, made: HTMLElement): HTMLElement {
  made.querySelector("caption")?.classList.add("hush");
  return el("details", {}, el("summary", {}, caption), made);
}

/** longTable is from how many rows on a table is folded away. */
const longTable = 8;

function shown(t: FigureTable, show: ShowPlace, mark?: MarkPlace): HTMLElement {
  const places = mark ? (t.marks ?? []) : [];
  const some = places.length > 0 || (t.show?.some((q) => q?.length > 0) ?? false);
  const heads = some ? [...t.heads, "on the stage"] : t.heads;
  const rows = t.rows.map((r, i) => {
    const q = t.show?.[i];
    if (!some) return r;
    const at = places[i];
    const look = () => (at && mark ? mark([at.part], at.at) : q && show(q));
    return [...r, at || (q && q.length > 0) ? el("button", { type: "button", "aria-label": `Show me: ${t.caption.split(",")[0]}, ${r[0]}`, click: look }, "Show me") : ""];
  });
  const made = table(t.caption, heads, rows);
  return t.rows.length < longTable ? made : folded(t.caption.startsWith("The same in numbers") ? t.caption : `In numbers: ${t.caption}`, made);
}
