// What this tab has typed and set but not saved, kept in the browser until it is: a page
// that is loaded anew, or a browser that crashed and comes back, loses nothing.
import type { ParamValue } from "./wire";

export interface Typed {
  text: string;
  sha256: string; // of the text of the file that it began from
}

export class Draft {
  constructor(private readonly name: string) {}

  private get<T>(what: string): T | null {
    try {
      const raw = sessionStorage.getItem(`${what} ${this.name}`);
      return raw ? (JSON.parse(raw) as T) : null;
    } catch {
      return null; // the browser keeps nothing
    }
  }

  private put(what: string, value: unknown): void {
    try {
      if (value === null) sessionStorage.removeItem(`${what} ${this.name}`);
      else sessionStorage.setItem(`${what} ${this.name}`, JSON.stringify(value));
    } catch {
      // the browser keeps nothing
    }
  }

  text(): Typed | null {
    return this.get<Typed>("typed");
  }

  typed(t: Typed | null): void {
    this.put("typed", t);
  }

  set(): ParamValue[] {
    return this.get<ParamValue[]>("set") ?? [];
  }

  keep(set: ParamValue[]): void {
    this.put("set", set.length > 0 ? set : null);
  }
}
