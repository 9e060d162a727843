// Keeping a session of play as a solve in the logbook.
import { ask, Refused } from "./ask";
import { el, fill, find } from "./dom";
import { button } from "./hand";
import type { Play } from "./play";
import { Session } from "./session";
import type { DeedNamed, Logged, ParamValue, SolveGiven } from "./wire";

export class Solve {
  private readonly typed = new Set<string>(); // fields that the person has filled

  constructor(private readonly play: Play) {
    play.heard = () => this.offer();
    fill(find("solve"), this.form());
    this.offer();
  }

  private form(): HTMLElement {
    const own = (id: string) => () => { this.typed.add(id); };
    const number = (id: string, words: string, step: string) =>
      el("label", { class: "pick", for: id }, words, el("input", { type: "number", id, min: "0", step, input: own(id) }));
    return el("details", { id: "solve-fold", toggle: () => this.offer() }, el("summary", {}, "Keep this session as a solve"),
      el("form", { id: "solve-form", submit: (e: Event) => { e.preventDefault(); void this.keep(); } },
        el("div", { class: "row" },
          el("label", { class: "pick", for: "solve-who" }, "initials, or none ", el("input", { type: "text", id: "solve-who", size: "4", maxlength: "4", autocomplete: "off", class: "initials" })),
          number("solve-min", "minutes ", "any"), number("solve-hints", "hints ", "1"),
          el("span", { class: "pick" }, el("input", { type: "checkbox", id: "solve-gave", change: own("solve-gave") }), el("label", { for: "solve-gave" }, "gave up"))),
        el("p", { class: "soft", id: "solve-so-far" }),
        el("div", { class: "row" }, el("button", { type: "submit", id: "solve-send" }, "Keep it"), button("solve-anew", "Begin the clock anew", () => this.anew()))),
      el("div", { id: "solve-said", role: "status" }));
  }

  /** offer fills in what the session tells of itself, but nothing that the person has filled. */
  private offer(): void {
    const s = this.play.session;
    const put = (id: string, value: string) => {
      if (!this.typed.has(id)) find<HTMLInputElement>(id).value = value;
    };
    put("solve-min", s.minutes === null ? "" : String(s.minutes));
    put("solve-hints", String(s.hints));
    const began = s.minutes !== null;
    if (!this.typed.has("solve-gave")) find<HTMLInputElement>("solve-gave").checked = began && !s.met;
    find<HTMLButtonElement>("solve-send").disabled = !began;
    fill(find("solve-so-far"), !began ? "The clock starts with the first move."
      : `${s.met ? "The goal was met; the clock stands." : "The goal is not met yet; the clock runs."}${s.shown ? " The whole way was shown." : ""}`);
  }

  private anew(): void {
    this.play.session = new Session();
    this.typed.clear();
    this.offer();
  }

  private async keep(): Promise<void> {
    const s = this.play.stage;
    const number = (id: string) => {
      const v = find<HTMLInputElement>(id).value;
      return v === "" ? null : Number(v);
    };
    const set: ParamValue[] = (s?.params ?? []).filter((p) => p.value !== p.default).map((p) => ({ name: p.name, value: p.value }));
    try {
      const l = await ask<Logged>("POST", `/api/workshop/${encodeURIComponent(s?.design ?? "")}/solves`, {
        who: find<HTMLInputElement>("solve-who").value, gave_up: find<HTMLInputElement>("solve-gave").checked, minutes: number("solve-min"),
        hints: number("solve-hints") ?? 0, moves: this.play.made.length, shown: this.play.session.shown, set,
      } satisfies SolveGiven);
      this.anew();
      fill(find("solve-said"), el("p", {}, l.words.join(" ")), button("solve-undo", "Take that back", () => void this.undo(l.deed)));
    } catch (e) {
      if (!(e instanceof Refused) && !(e instanceof TypeError)) throw e;
      const lost = e instanceof Refused ? e.message : "The program does not answer, so nothing was kept. What is typed stays here.";
      const none = e instanceof Refused && e.status === 404;
      fill(find("solve-said"), el("p", {}, lost), none ? button("solve-begin", "Begin a logbook", () => void this.begin()) : null);
    }
  }

  private async begin(): Promise<void> {
    await ask("POST", "/api/workshop", {});
    await this.keep();
  }

  private async undo(deed: number): Promise<void> {
    await ask("POST", "/api/undo", { deed } satisfies DeedNamed);
    fill(find("solve-said"), el("p", {}, "Taken back."));
  }
}
