// What feint found, each with ways to be shown where it is.
import { el, fill, find } from "./dom";
import type { Show } from "./sheet";
import type { FindingInfo, Proof, Stage } from "./wire";

const sign: Record<string, string> = { fault: "✕ fault", warning: "△ warning", note: "· note" };

export function writeFindings(stage: Stage, p: Proof, show: Show): void {
  const d = p.document;
  const advises = (f: FindingInfo) => f.about === "print" && f.severity !== "fault";
  const all = p.asked ? [] : d.findings; // some hang on where it binds and leaks
  const told = all.filter((f) => !advises(f));
  const advice = all.filter(advises);
  const s = find("findings");
  s.hidden = false;
  s.setAttribute("aria-labelledby", "findings-title");
  fill(s, el("h2", { id: "findings-title" }, "Findings"),
    p.partial ? el("p", { class: "soft" }, "What handling, forces and the print add is being worked out.") : null,
    ...(told.length === 0 && p.partial ? [] : told.length === 0 ? [el("p", {}, "Nothing to report.")] : told.map((f, i) => one(stage, p, f, adviceOf(told, i), show))),
    advice.length === 0 ? null : el("details", {}, el("summary", {}, `Of the print: ${advice.length} that advise`), ...advice.map((f, i) => one(stage, p, f, adviceOf(advice, i), show))));
}

/** adviceOf is what to change; what an earlier finding said word for word is not said again. */
function adviceOf(told: FindingInfo[], i: number): string {
  const change = told[i]?.change ?? "";
  const first = told.findIndex((f) => f.change === change);
  const short = `As for ${told[first]?.rule ?? ""}, above.`;
  return first < i && short.length < change.length ? short : change;
}

function one(stage: Stage, p: Proof, f: FindingInfo, advice: string, show: Show): HTMLElement {
  const about = [...f.where.parts, ...(f.where.step ? [`step ${f.where.step}`] : [])].join(", ");
  const buttons = shows(stage, p, f, show);
  return el("div", { class: `finding f-${f.severity}` },
    el("h3", {}, `${sign[f.severity] ?? f.severity}: ${f.rule}`),
    about ? el("p", { class: "soft" }, about) : null,
    el("p", {}, f.message),
    advice ? el("p", {}, el("b", {}, "Change: "), advice) : null,
    f.margin ? el("p", { class: "soft" }, `Margin ${Number(f.margin.value.toPrecision(3))} ${f.margin.unit}${f.margin.value < 0 ? ", beyond the limit" : ""}`) : null,
    buttons.length > 0 ? el("p", { class: "row" }, ...buttons) : null);
}

/** shows are the buttons of a finding: the situation and the place on the stage, and the params that would change it. */
function shows(stage: Stage, p: Proof, f: FindingInfo, show: Show): HTMLElement[] {
  const out: HTMLElement[] = [];
  const q = configOf(stage, f) ?? stepOf(p, f);
  const at = f.where.at_mm;
  if (q || at || f.where.parts.length > 0) {
    out.push(el("button", {
      type: "button", "aria-label": `Show me where: ${f.rule}`, click: () => {
        show.mark(f.where.parts, at && at.length === 3 ? [at[0] ?? 0, at[1] ?? 0, at[2] ?? 0] : null, q);
      },
    }, "Show me"));
  }
  for (const p of f.where.params.filter((n) => stage.params.some((k) => k.name === n))) {
    out.push(el("button", { type: "button", click: () => show.param(p) }, `Go to “${p}”`));
  }
  return out;
}

/** stepOf is a configuration in the step that a finding is about, null if it is about none. */
function stepOf(p: Proof, f: FindingInfo): number[] | null {
  const t = f.where.step ? p.steps?.tables[0] : undefined;
  const q = t?.show?.[t.rows.findIndex((r) => r[0] === f.where.step)];
  return q && q.length > 0 ? q : null;
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
